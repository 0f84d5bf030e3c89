package piece

// Override is what a person decided about one piece of a tray, and why.
type Override struct {
	Piece  int        // its number when it was decided
	At     [2]float64 // the middle of its outline then, mat frame, mm
	Kind   string     // one of the kinds
	Reason string
	Who    string // decided so; empty where that was not kept
}

// Kinds of override.
const (
	NotASlice  = "not-a-slice" // leave the piece out of everything
	CountIt    = "count-it"    // it is a slice, whatever the program took it for
	SaidGood   = "said-good"   // it is good, whatever was measured
	SaidAgain  = "said-again"  // it is to be cut again, whatever was measured
	AsMeasured = "as-measured" // what was decided before counts no more
)

// Counts reports whether the piece counts as a slice.
func (o Override) Counts() bool { return o.Kind != NotASlice }

// Judges reports whether it decides a measured slice's verdict.
func (o Override) Judges() bool { return o.Kind == SaidGood || o.Kind == SaidAgain }

// Applied is the piece with the verdict that was decided. A slice said to be good has
// no faults; one to be cut again keeps those that were measured.
func (o Override) Applied(p Piece) Piece {
	switch {
	case p.State != Measured:
	case o.Kind == SaidGood:
		p.Verdict, p.Faults, p.Triangular = Pass, nil, false
	case o.Kind == SaidAgain:
		p.Verdict = Fail
	}
	return p
}
