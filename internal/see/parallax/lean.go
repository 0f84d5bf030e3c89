package parallax

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Side is a long side of a slice as seen: its outward normal, its middle on
// the mat plane, and how strongly the light changes at each depth inside the
// outline (in standard deviations; sample i lies From + i·Step mm deep).
type Side struct {
	Normal, Mid r2.Vec
	Change      []float64
	From, Step  float64
}

// What is assumed of walls before a photo is seen: two in five slices are cut
// with the knife upright, the hand within a few degrees; the rest with a knife
// laid to either side, down to some 40°. Chosen by the error on rendered trays,
// knowing which lay angles the renderer draws (90, 90, 80, 65, 50°); a kitchen's
// own mix will differ. With a share of 0.5 widths err by 3 % more there.
const (
	uprightShare = 0.4
	uprightRun   = 0.12 // standard deviation of the run of upright walls, by thickness
	laidRun      = 1.2  // up to which runs of laid ones are as likely, by thickness: 40°
	greatestRun  = 2.0  // and up to which there are fewer and fewer: 27°
)

// How the changes of light count as evidence.
const (
	leastDepth = 0.7 // mm: nearer the outline the rounded edge itself changes the light
	noChange   = 1.5 // deviations that pattern alone gives
	mostChange = 8.0 // beyond, a change is certain
	weightOf   = 0.6 // log odds per deviation
)

// Lean is what the photo tells of a slice's walls.
type Lean struct {
	Run    r2.Vec  // of the lower edge against the upper one, mm
	RunU   float64 // standard uncertainty of its length, mm
	WidthU float64 // standard uncertainty that the run leaves in the width, mm
}

// LeanOf weighs every run the walls can have by what is seen on the two long
// sides, and returns the run in the middle of the odds.
//
// On the side that faces the eye the whole wall is seen: from the lower edge
// to the upper one, which lands on the mat plane farther from the foot by a =
// d·e/(H - e), d being the side's distance from the foot. So the light changes
// at the depth a + run there, the run counted outward. On the other side the
// wall shows only where it runs out further than the upper edge lands: at the
// depth run - b.
//
// also is what else tells a run, as a log likelihood; nil for nothing.
func LeanOf(sides [2]Side, eye Eye, edge, thickness float64, also func(run r2.Vec) float64) Lean {
	v := viewOf(sides, eye, edge)
	v.also = also
	greatest := laidRun // what a photo alone can tell from a face
	if also != nil {
		greatest = greatestRun
	}
	const n = 121
	runs, logs := make([]float64, n), make([]float64, n)
	for i := range n {
		runs[i] = greatest * thickness * (2*float64(i)/(n-1) - 1)
		logs[i] = math.Log(prior(runs[i]/thickness)) + v.evidence(runs[i])
	}
	return v.lean(runs, odds(logs))
}

// LeanKnown is the lean where the length of the run is known from the lay
// angle, mm: what is seen tells the side it leans to.
func LeanKnown(sides [2]Side, eye Eye, edge, length float64, also func(run r2.Vec) float64) Lean {
	v := viewOf(sides, eye, edge)
	v.also = also
	runs := []float64{-length, length}
	return v.lean(runs, odds([]float64{v.evidence(-length), v.evidence(length)}))
}

// view is a slice's two long sides as the eye sees them: how far the upper edge
// lands from the lower one's place on the side that faces the eye, and on the
// other, mm.
type view struct {
	near, far         Side
	nearMoved, farOff float64
	also              func(run r2.Vec) float64
}

func viewOf(sides [2]Side, eye Eye, edge float64) view {
	near, far := sides[0], sides[1]
	if offset(near, eye) > offset(far, eye) {
		near, far = far, near
	}
	k := edge / (eye.Height - edge)
	// nearMoved is negative where the eye is above the slice itself.
	return view{near, far, -k * offset(near, eye), k * offset(far, eye), nil}
}

// evidence is how well a run, counted outward on the near side, explains the
// changes of light seen and what else is known, as a logarithm; only differences
// between runs mean anything.
func (v view) evidence(run float64) float64 {
	e := weightOf * (v.near.at(run+v.nearMoved) + v.far.at(-run-v.farOff))
	if v.also != nil {
		e += v.also(r2.Scale(run, v.near.Normal))
	}
	return e
}

// odds turns logarithms of odds into odds of which the greatest is 1.
func odds(logs []float64) []float64 {
	most := slices.Max(logs)
	for i, l := range logs {
		logs[i] = math.Exp(l - most)
	}
	return logs
}

// hidden is how much of the width a run hides: by the upper edge on the far
// side, and under it on the near one.
func (v view) hidden(run float64) float64 {
	return math.Max(0, math.Min(math.Max(v.nearMoved, 0), -run)) + math.Max(0, math.Min(v.farOff, -run))
}

// lean takes the run in the middle of the odds.
func (v view) lean(runs, odds []float64) Lean {
	var sum, variance, runVar float64
	for _, o := range odds {
		sum += o
	}
	mid := middle(runs, odds, sum)
	for i, r := range runs {
		d := v.hidden(r) - v.hidden(mid)
		variance += odds[i] / sum * d * d
		d = math.Abs(r) - math.Abs(mid)
		runVar += odds[i] / sum * d * d
	}
	return Lean{Run: r2.Scale(mid, v.near.Normal), RunU: math.Sqrt(runVar), WidthU: math.Sqrt(variance)}
}

// prior is the density of a run given by thickness.
func prior(r float64) float64 {
	laid := 1.0
	if a := math.Abs(r); a > laidRun {
		laid = max(0, (greatestRun-a)/(greatestRun-laidRun))
	}
	laid /= 2 * laidRun
	z := r / uprightRun
	return uprightShare*math.Exp(-z*z/2)/(uprightRun*math.Sqrt(2*math.Pi)) + (1-uprightShare)*laid
}

// at is the evidence for a wall that ends at a depth; where it would be too
// shallow to be seen, what pattern alone gives.
func (s Side) at(depth float64) float64 {
	if depth < leastDepth || len(s.Change) == 0 {
		return noChange
	}
	x := (depth - s.From) / s.Step
	i := int(x)
	if i < 0 || i+1 >= len(s.Change) {
		return noChange
	}
	f := x - float64(i)
	return math.Min(mostChange, s.Change[i]*(1-f)+s.Change[i+1]*f)
}

// middle is the weighted median.
func middle(v, w []float64, sum float64) float64 {
	var done float64
	for i := range v {
		if done += w[i]; done >= sum/2 {
			return v[i]
		}
	}
	return v[len(v)-1]
}

// offset is the distance from the eye's foot to the side along its normal: it
// is negative for a side that faces the eye.
func offset(s Side, eye Eye) float64 { return r2.Dot(r2.Sub(s.Mid, eye.Foot), s.Normal) }
