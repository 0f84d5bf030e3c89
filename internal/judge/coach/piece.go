package coach

import (
	"math"
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

// measurable reports whether p has the numbers of a thing on a mat: within 1 m
// and 1 kg, and none that is no number. There is no advice on others.
// A taper is 2 at the most, by its definition.
func measurable(p piece.Piece) bool {
	within := func(v, low, high float64) bool { return v >= low && v <= high }
	const mostTaper = 2.5
	return within(p.Length.X, 1, 1000) && within(p.Width.X, 1, 1000) && within(p.Area.X, 0, 1e6) &&
		within(p.Thickness.X, 0, 1000) && within(p.Weight.X, 0, 1000) && within(p.Taper.X, -mostTaper, mostTaper) && !math.IsNaN(p.Cover.X)
}

// Target is what the house standard asks for.
type Target struct {
	LengthLow, LengthAim, LengthHigh float64
	WidthLow, WidthAim, WidthHigh    float64
	WeightLow, WeightAim, WeightHigh float64
	CoverFloor                       float64
	SkewHigh                         float64 // degrees; 0 where none is asked
}

// TargetOf is what a house standard asks of the slices of a group of species.
func TargetOf(s standard.Standard, group string) Target {
	w := s.WeightFor(group)
	t := Target{
		LengthLow: s.Length.Low, LengthAim: s.Length.Aim, LengthHigh: s.Length.High,
		WidthLow: s.Width.Low, WidthAim: s.Width.Aim, WidthHigh: s.Width.High,
		WeightLow: w.Low, WeightAim: w.Aim, WeightHigh: w.High,
		CoverFloor: s.Rice.CoverFloor,
	}
	if _, high := s.Asks(piece.Skew, group); high != nil {
		t.SkewHigh = *high
	}
	return t
}

// Cut is what is known about how the pieces were cut; zero is not known.
type Cut struct {
	Theta       float64 // plan angle used; DefaultTheta when not known
	Phi         float64 // lay angle used
	BlockWidth  float64
	BlockHeight float64
}

// Check refuses a cut that cannot be.
func (c Cut) Check() error {
	switch {
	case !(c.BlockWidth >= 0 && c.BlockWidth <= 300) || !(c.BlockHeight >= 0 && c.BlockHeight <= 150):
		return phrase.Wrong("block-size", c.BlockWidth, c.BlockHeight)
	case c.Theta != 0 && !(c.Theta >= 5 && c.Theta <= 90):
		return phrase.Wrong("plan-angle", c.Theta)
	}
	return nil
}

// Advice is what to do about a fault in one measure.
type Advice struct {
	On   *piece.Measure
	Text phrase.Text
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

// phi is the lay angle a piece was cut at: told, else from the block's height
// and the width it gave, else upright.
func (c Cut) phi(p piece.Piece) float64 {
	if usable(c.Phi) {
		return c.Phi
	}
	if deg, ok := Angle(p.Width.X, wall(p), c.BlockHeight); ok && usable(deg) {
		return deg
	}
	return 90
}

// wall is the thickness that the leaning wall is reckoned with.
func wall(p piece.Piece) float64 {
	if positive(p.Thickness.X) {
		return p.Thickness.X
	}
	return usualThickness
}

// endWall is the same for the length: all of the end wall, unless the block's
// width and the angle were both told. Then the length itself says how much of the
// wall the outline holds: of a wall in shadow, or of ends that stand upright, less
// than all or none. A length that no wall explains was not cut at that angle.
func (c Cut) endWall(p piece.Piece) float64 {
	whole := EndWall(wall(p), c.phi(p))
	if !positive(c.BlockWidth) || !usable(c.Theta) || c.Theta > steepest {
		return whole
	}
	shown := (p.Length.X*sine(c.Theta) - c.BlockWidth) / math.Cos(c.Theta*math.Pi/180)
	if shown < -blockDoubt || shown > whole+blockDoubt {
		return whole
	}
	return math.Max(0, math.Min(shown, whole))
}

// blockDoubt is how far a block's width, as told, may be off, mm. Our setting.
const blockDoubt = 2.0

// steepest is the plan angle, degrees, above which an end wall adds too little to
// the length to be told from an error of the block's width.
const steepest = 75.0

// nextEndWall is that of the coming tray, cut as advised.
func (c Cut) nextEndWall(p piece.Piece, t Target) float64 {
	thickness := nextWall(p, t, c)
	_, phi := c.next(p, t, thickness)
	return EndWall(thickness, phi) * c.endWall(p) / EndWall(wall(p), c.phi(p))
}

// Piece gives the advice on one piece, one for each measure outside the
// target's limits. What can be done with the piece itself comes first: opened, or
// asked what it is, in place of the knife's change for that measure; set aside, in
// place of all.
func Piece(p piece.Piece, t Target, c Cut) []Advice {
	p = ownWeight(p)
	f := faultsOf(p, t)
	if f.none() || !measurable(p) {
		return nil
	}
	if on := doubled(p, t); on != nil {
		return append([]Advice{{on, doubledText(p, t, on)}}, slices.DeleteFunc(knife(p, t, c, f), func(a Advice) bool { return a.On == on })...)
	}
	if a, ok := rescue(p, t, f); ok {
		return append([]Advice{a}, knife(p, t, c, f)...)
	}
	if tooSmall(p, t) {
		return []Advice{{piece.Length, phrase.Of("too-small")}}
	}
	return knife(p, t, c, f)
}

// knife gives the change of the knife for each fault.
func knife(p piece.Piece, t Target, c Cut, f faults) []Advice {
	var out []Advice
	add := func(on *piece.Measure, text phrase.Text) { out = append(out, Advice{on, text}) }
	switch {
	case f.length < 0 && p.Triangular:
		add(piece.Length, offText(p.Length.X, t.LengthAim, "off-long", "off-short").And(tapered))
	case f.length != 0:
		add(piece.Length, lengthText(p, t, c))
	}
	switch {
	case f.width != 0 && p.Triangular:
		add(piece.Width, offText(p.Width.X, t.WidthAim, "off-wide", "off-narrow").And(tapered))
	case f.width != 0:
		add(piece.Width, widthText(p, t, c))
	}
	if f.cover {
		add(piece.Cover, coverText(p, t, c))
	}
	if f.weight != 0 {
		add(piece.Weight, weightText(p, t, c))
	}
	if f.skew {
		add(piece.Skew, skewText(p, t, c))
	}
	if masked := maskedText(p, t, c); masked != nil && len(out) > 0 {
		out[0].Text = out[0].Text.And(phrase.Of("also"), masked)
	}
	return out
}

// Skew is the skew, degrees, of the face of a slice cut from a bar at a plan angle
// and a lay angle, degrees: its long side lies along the knife's line, its end along
// the bar's upright side, and tan(skew) = cos(phi) / tan(theta). So an upright blade
// leaves a rectangle, as does a cut square across the bar.
func Skew(theta, phi float64) float64 {
	return math.Atan(math.Cos(phi*math.Pi/180)/math.Tan(theta*math.Pi/180)) * 180 / math.Pi
}

// skewText says how far the slice leans and what would make it lean less: the blade
// raised, as far as it takes at the plan angle used; else the ends trimmed.
func skewText(p piece.Piece, t Target, c Cut) phrase.Text {
	says := phrase.Of("leans", p.Skew.X, t.SkewHigh)
	cosine := math.Tan(t.SkewHigh*math.Pi/180) * math.Tan(c.theta()*math.Pi/180)
	if cosine >= 1 || !usable(c.Phi) || Skew(c.theta(), c.Phi) <= t.SkewHigh {
		return says.And(phrase.Of("lean-less"))
	}
	return says.And(phrase.Of("raise-for-skew", c.theta(), math.Acos(cosine)*180/math.Pi))
}

// tapered is all that can be said of a triangle's length and width.
var tapered = phrase.Of("taper-is-cause")

// faults tells on which side of its limits each measure lies: -1 below, 0
// inside, +1 above.
type faults struct {
	length, width, weight int
	cover, skew           bool
}

func faultsOf(p piece.Piece, t Target) faults {
	f := faults{
		length: side(p.Length.X, t.LengthLow, t.LengthHigh),
		width:  side(p.Width.X, t.WidthLow, t.WidthHigh),
		cover:  p.Cover.X < t.CoverFloor,
		skew:   t.SkewHigh > 0 && p.Skew.X > t.SkewHigh,
	}
	if p.Weight.X > 0 {
		f.weight = side(p.Weight.X, t.WeightLow, t.WeightHigh)
	}
	return f
}

func (f faults) none() bool { return f == faults{} }

// tooSmall reports a piece that no change of use turns into a slice: short,
// narrow, no heavier than asked, and rice would show. A triangle is small by its
// taper, which is the knife's fault.
func tooSmall(p piece.Piece, t Target) bool {
	f := faultsOf(p, t)
	return f.length < 0 && f.width < 0 && f.weight <= 0 && f.cover && !p.Triangular
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
