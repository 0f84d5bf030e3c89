package piece

// Override is what a person decided about one piece of a tray, and why.
type Override struct {
	Piece  int        // its number when it was decided
	At     [2]float64 // the middle of its outline then, mat frame, mm
	Kind   string     // NotASlice or CountIt
	Reason string
}

// Kinds of override.
const (
	NotASlice = "not-a-slice" // leave the piece out of everything
	CountIt   = "count-it"    // it is a slice, whatever the program took it for
)

// Counts reports whether the piece counts as a slice.
func (o Override) Counts() bool { return o.Kind == CountIt }
