package piece

// Seen is how a slice was seen, as far as the program itself can tell. Intervals
// are held to 95 % group by group of it.
type Seen struct {
	Two     bool // two photos tell its height
	LayTold bool // a person told how the knife lay
	Leans   bool // its walls lean by more than the 15° that an upright knife may be off
	// KobaMM is what a koba leaves open of the width, mm, expanded (k = 2): its edge lies
	// lower than is taken.
	KobaMM float64
}
