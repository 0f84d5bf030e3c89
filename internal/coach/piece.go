package coach

// The names of the faults, as the report spells them.
const (
	FaultLength = "length"
	FaultWidth  = "width"
	FaultWeight = "weight"
	FaultCover  = "rice_cover"
)

// PieceIn is one measured piece. A zero Thickness or Weight is not known.
type PieceIn struct {
	Number     int
	Length     float64
	Width      float64
	Area       float64
	Taper      float64 // (wide - narrow) / mean, 0 for a parallelogram
	RiceCover  float64 // 0 to 1
	Triangular bool    // cover is short and the taper explains it
	Thickness  float64
	Weight     float64
}

// Target is what the house standard asks for.
type Target struct {
	LengthLow, LengthAim, LengthHigh float64
	WidthLow, WidthAim, WidthHigh    float64
	WeightLow, WeightAim, WeightHigh float64
	CoverFloor                       float64
}

// Cut is what is known about how the pieces were cut; zero is not known.
type Cut struct {
	Theta       float64 // plan angle used; DefaultTheta when not known
	Phi         float64 // lay angle used
	BlockWidth  float64
	BlockHeight float64
}

// Advice is what to do about one fault.
type Advice struct {
	Fault string
	Text  string
}

// usable reports whether a blade can be held at the angle, degrees.
func usable(deg float64) bool { return deg >= 1 && deg <= 90 }

// theta is the plan angle the pieces were cut at.
func (c Cut) theta() float64 {
	if usable(c.Theta) {
		return c.Theta
	}
	return DefaultTheta
}

// phi is the lay angle the pieces were cut at: told, else from the block's
// height and the width it gave, else upright.
func (c Cut) phi(width float64) float64 {
	if usable(c.Phi) {
		return c.Phi
	}
	if deg, ok := Phi(width, c.BlockHeight); ok && usable(deg) {
		return deg
	}
	return 90
}

// Piece gives the advice on one piece, one for each measure outside the
// target's limits. What can be done with the piece itself (open it, set it
// aside) comes first.
func Piece(p PieceIn, t Target, c Cut) []Advice {
	f := faultsOf(p, t)
	if f.none() {
		return nil
	}
	if a, ok := rescue(p, t, f); ok {
		return append([]Advice{a}, knife(p, t, c, f)...)
	}
	if f.tooSmall() {
		return []Advice{{f.first(), "too small for nigiri in length and width: set it aside for rolls or chopped fish"}}
	}
	return knife(p, t, c, f)
}

// knife gives the change of the knife for each fault.
func knife(p PieceIn, t Target, c Cut, f faults) []Advice {
	var out []Advice
	add := func(fault, text string) { out = append(out, Advice{fault, text}) }
	if f.length != 0 {
		add(FaultLength, lengthText(p.Length, t.LengthAim, c))
	}
	switch {
	case f.width != 0 && p.Triangular:
		add(FaultWidth, offText(p.Width, t.WidthAim, "wide", "narrow")+": the taper is the cause; hold the width from end to end first")
	case f.width != 0:
		add(FaultWidth, widthText(p.Width, t.WidthAim, c))
	}
	if f.cover {
		add(FaultCover, coverText(p, t, c))
	}
	if f.weight != 0 {
		add(FaultWeight, weightText(p, t, c))
	}
	return out
}

// faults tells on which side of its limits each measure lies: -1 below, 0
// inside, +1 above.
type faults struct {
	length, width, weight int
	cover                 bool
}

func faultsOf(p PieceIn, t Target) faults {
	f := faults{
		length: side(p.Length, t.LengthLow, t.LengthHigh),
		width:  side(p.Width, t.WidthLow, t.WidthHigh),
		cover:  p.RiceCover < t.CoverFloor,
	}
	if p.Weight > 0 {
		f.weight = side(p.Weight, t.WeightLow, t.WeightHigh)
	}
	return f
}

func (f faults) none() bool { return f == faults{} }

// tooSmall reports a piece that no change of use turns into a slice.
func (f faults) tooSmall() bool { return f.length < 0 && f.width < 0 && f.weight <= 0 }

// first names one fault that f has.
func (f faults) first() string {
	switch {
	case f.length != 0:
		return FaultLength
	case f.width != 0:
		return FaultWidth
	case f.cover:
		return FaultCover
	}
	return FaultWeight
}

func side(v, low, high float64) int {
	switch {
	case v < low:
		return -1
	case v > high:
		return 1
	}
	return 0
}
