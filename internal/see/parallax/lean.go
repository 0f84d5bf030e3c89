package parallax

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"
)

// Tells is how well something that was seen or is known fits a lean of the
// walls, as a log likelihood: only differences between leans mean anything.
type Tells func(lean r2.Vec) float64

// What is assumed of a wall before a photo is seen: two in five are upright,
// within a few degrees; the rest lean to either side, down to some 40° and, less
// and less, 20°. The trade turns the knife against the block and lays it, so
// that end walls and long walls lean alike. Our setting, common practice, no
// source.
const (
	uprightShare = 0.4
	uprightLean  = 0.12 // standard deviation of the lean of upright walls
	laidLean     = 1.2  // up to which leans of laid ones are as likely: 40°
	greatestLean = 2.8  // and up to which there are fewer and fewer: 20°
)

// Wall is what is assumed of a wall that faces along n.
func Wall(n r2.Vec) Tells {
	t := wallOdds()
	return func(lean r2.Vec) float64 { return t.at(r2.Dot(lean, n)) }
}

var wallOdds = sync.OnceValue(func() lookup {
	return lookupOf(4, func(l float64) float64 { return math.Log(wall(l)) })
})

// lookup is an even function at every thousandth, with straight lines between.
type lookup []float64

func lookupOf(upTo int, f func(float64) float64) lookup {
	t := make(lookup, 1000*upTo+2)
	for i := range t {
		t[i] = f(float64(i) / 1000)
	}
	return t
}

func (t lookup) at(v float64) float64 {
	x := 1000 * math.Abs(v)
	i := min(int(x), len(t)-2)
	return t[i] + (x-float64(i))*(t[i+1]-t[i])
}

// wall is the density of how far a wall leans.
func wall(l float64) float64 {
	laid := 1.0
	if a := math.Abs(l); a > laidLean {
		laid = math.Max(1e-6, (greatestLean-a)/(greatestLean-laidLean))
	}
	laid /= laidLean + greatestLean
	return uprightShare*normal(l, uprightLean) + (1-uprightShare)*laid
}

// otherWalls is how often a lay is told of other walls than it is taken for. Our setting.
const otherWalls = 0.05

// Told is a lay that was told of two opposite walls: they lean by it, ± u, to either
// side. Of the walls given each is one of the two as often as it is long.
func Told(walls []Side, lean, u float64) Tells {
	var all float64
	for _, w := range walls {
		all += w.Length
	}
	return func(l r2.Vec) float64 {
		var sum float64
		for _, w := range walls {
			d := r2.Dot(l, w.Normal)
			so := (normal(d-lean, u) + normal(d+lean, u)) / 2
			sum += w.Length / all * ((1-otherWalls)*so + otherWalls*wall(d))
		}
		return math.Log(sum)
	}
}

// A block's walls stand square to each other, within some degrees; of one block
// in four they don't. Our setting, no source.
const (
	squareU    = 0.1 // radians
	notSquare  = 0.25
	notSquareU = 0.6
)

// Square is what two neighbouring walls of a block with right-angled edges tell.
// n and m are their outward normals on the face. In space the walls' normals are
// (n, lean·n) and (m, lean·m): they are square to each other where
// n·m + (lean·n)(lean·m) is 0. So the slant of a slice's ends tells how the knife
// was laid and turned, but for the face that lies down.
func Square(n, m r2.Vec) Tells {
	t := squareOdds()
	return func(lean r2.Vec) float64 {
		a, b := r2.Dot(lean, n), r2.Dot(lean, m)
		cos := (r2.Dot(n, m) + a*b) / math.Sqrt((1+a*a)*(1+b*b))
		return t.at(cos)
	}
}

var squareOdds = sync.OnceValue(func() lookup {
	return lookupOf(2, func(cos float64) float64 {
		return math.Log((1-notSquare)*normal(cos, squareU) + notSquare*normal(cos, notSquareU))
	})
})

// beyond so many standard deviations a normal density is less than what rounding
// leaves of anything that it is added to here.
const beyond = 12

func normal(x, sd float64) float64 {
	z := x / sd
	if math.Abs(z) > beyond {
		return 0
	}
	return math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
}

// Side is a side of a slice as seen: its outward normal, its middle on the mat
// plane, and how strongly the light changes at each depth inside the outline (in
// standard deviations; sample i lies From + i·Step mm deep).
type Side struct {
	Normal, Mid r2.Vec
	Length      float64 // mm
	Change      []float64
	From, Step  float64
	Dark        float64 // how much of the face's light is missing beside the edge, NaN where it is not known
}

// How the changes of light count as evidence: the logarithm of how much more often
// a change so strong is met where a wall ends than elsewhere. What is met as often in
// either place falls with the depth, since there is more of the wall to compare with: on
// the sides of 639 slices on 88 rendered trays from 2.7 deviations at 2.5 mm to 1.5 at
// 7 mm. Nearer the edge it would be 5 on walls as a knife on the slant leaves them, but
// upright ends are seen nowhere else; so it is let rise to 3 only, by 720 slices as a
// knife leaves them and 204 tidy ones. A cut edge is rounded: on 82 trays the light
// changed most edgeBreadth inside the outermost edge, of slices with evenly rounded
// edges (0.2 to 0.5 mm) and of sharply cut ones (0.3 mm). Below leastDepth the
// rounding itself changes the light.
const (
	leastDepth  = 0.6 // mm
	edgeBreadth = 0.3 // mm
	evenChange  = 2.6 // deviations that are met as often in either place at 1 mm
	evenFalls   = 0.3 // power of the depth that they fall by
	changeOdds  = 2.4 // log odds by the logarithm of the change
	againstIt   = -2.0
	forIt       = 4.0
)

// Light is what the light tells along one side of a slice whose upper edge lies
// at a height.
//
// The upper edge lands on the mat plane farther from the foot than it lies by
// d·h/(H - h), d being the side's distance from the foot along its normal,
// negative on a side that faces the eye. Where the lower edge runs out farther
// than that, the wall is seen between the two, and the light changes where it
// ends.
func Light(s Side, eye Eye, height float64) Tells {
	moved := s.moved(eye, height)
	odds := s.odds()
	return func(lean r2.Vec) float64 {
		depth := height*r2.Dot(lean, s.Normal) - moved
		x := (depth + edgeBreadth - s.From) / s.Step
		i := int(x)
		if depth < leastDepth || i+1 >= len(odds) {
			return 0
		}
		f := x - float64(i)
		return odds[i]*(1-f) + odds[i+1]*f
	}
}

// odds is the evidence for a wall whose upper edge is seen at each sample, none where
// nothing is known of it.
func (s Side) odds() []float64 {
	out := make([]float64, len(s.Change))
	for i, change := range s.Change {
		if change > 0 {
			depth := math.Max(leastDepth, s.From+float64(i)*s.Step-edgeBreadth)
			even := evenChange * math.Pow(depth, -evenFalls)
			out[i] = math.Max(againstIt, math.Min(forIt, changeOdds*math.Log(change/even)))
		}
	}
	return out
}
