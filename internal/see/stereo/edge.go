package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
	"netagauge/internal/core/solid"
	"netagauge/internal/see/parallax"
)

// Edge is what two outlines of one piece, as seen in two photos, tell of its
// upper edge.
type Edge struct {
	height float64 // mm
	u      float64 // its standard uncertainty, mm
	lean   r2.Vec  // of the walls, by height
	miss   float64 // median distance that is left between the outlines, mm
	gaps   []gap
}

// What is tried, and how an outline is compared.
const (
	lowestEdge, highestEdge, edgeStep = 0.4, 12.0, 0.4 // mm
	leanSteps, leanReach              = 8, 2.4         // to either side; of the walls, by height
	finestEdge                        = 0.02           // mm
	farthest                          = 9.0            // mm between the two outlines
	huberMM                           = 0.15
	uprightPull                       = 0.02 // mm² of cost for a wall that leans by its height
)

// gap is one place of outline A: its normal, how far outline B lies beyond it,
// and the distances of both feet from the place along the normal.
type gap struct {
	n                r2.Vec
	at               r2.Vec
	beyond           float64
	footA, footB     float64
	heightA, heightB float64 // of the eyes
}

// edgeOf fits the height of the upper edge and the lean of the walls to the two
// outlines, each as seen on the mat plane.
//
// Where a side's normal n points away from the foot of the eye by d, the upper
// edge at height e lands k·d outside its true place, k = e/(H-e); the lower
// edge lies r·n outside, r being its run. What is seen is the farther of the
// two. So one outline lies beyond the other by max(kB·dB, r·n) - max(kA·dA, r·n).
func edgeOf(a, b []r2.Vec, eyeA, eyeB parallax.Eye) (Edge, bool) {
	gaps := gapsOf(a, b, eyeA, eyeB)
	if len(gaps) < 30 || len(gaps) < len(a)/2 {
		return Edge{}, false
	}
	t := roughEdge(some(gaps, 3))
	for step := edgeStep / 2; step > finestEdge; {
		if !t.better(gaps, step) {
			step /= 2
		}
	}
	left := make([]float64, len(gaps))
	for i, g := range gaps {
		left[i] = math.Abs(g.miss(t.height/(g.heightB-t.height), t.height/g.heightA*g.footA, r2.Dot(r2.Scale(t.height, t.lean), g.n)))
	}
	u := math.Hypot(edgeTrust, t.height-uprightEdge(gaps))
	return Edge{t.height, u, t.lean, rank.Midpoint(left), gaps}, true
}

// uprightEdge is the height of the upper edge if the walls stood upright. Where
// walls may lean, it and the height found are as likely.
func uprightEdge(gaps []gap) float64 {
	best := edgeTry{cost: math.Inf(1)}
	for e := lowestEdge; e <= highestEdge; e += edgeStep / 2 {
		if t := tryEdge(gaps, e, r2.Vec{}, best.cost); t.cost < best.cost {
			best = t
		}
	}
	return best.height
}

// some is every n-th of the gaps.
func some(gaps []gap, n int) (out []gap) {
	for i := 0; i < len(gaps); i += n {
		out = append(out, gaps[i])
	}
	return out
}

// edgeTry is a height of the upper edge and a lean of the walls with their cost.
type edgeTry struct {
	height float64
	lean   r2.Vec
	cost   float64
}

// tryEdge tries one; where it costs more than the most that counts, that may be any
// cost above it.
func tryEdge(gaps []gap, height float64, lean r2.Vec, most float64) edgeTry {
	pull := uprightPull * r2.Norm(lean)
	return edgeTry{height, lean, pull + meanCost(gaps, height, r2.Scale(height, lean), most-pull)}
}

// roughEdge tries a grid of heights and leans.
func roughEdge(gaps []gap) edgeTry {
	best := edgeTry{cost: math.Inf(1)}
	for e := lowestEdge; e <= highestEdge; e += edgeStep {
		for i := -leanSteps; i <= leanSteps; i++ {
			for j := -leanSteps; j <= leanSteps; j++ {
				lean := r2.Scale(leanReach/leanSteps, r2.Vec{X: float64(i), Y: float64(j)})
				if t := tryEdge(gaps, e, lean, best.cost); t.cost < best.cost {
					best = t
				}
			}
		}
	}
	return best
}

// better moves on to a neighbour of less cost, if there is one.
func (t *edgeTry) better(gaps []gap, step float64) bool {
	lean := step / 2
	start := tryEdge(gaps, t.height, t.lean, math.Inf(1))
	*t = start
	for _, n := range []edgeTry{
		{height: step}, {height: -step}, {lean: r2.Vec{X: lean}}, {lean: r2.Vec{X: -lean}}, {lean: r2.Vec{Y: lean}}, {lean: r2.Vec{Y: -lean}},
	} {
		if h := start.height + n.height; h > 0 {
			if next := tryEdge(gaps, h, r2.Add(start.lean, n.lean), t.cost); next.cost < t.cost {
				*t = next
			}
		}
	}
	return t.cost < start.cost
}

// wallCost is by how much the mean cost of a place along the outline may grow
// before a run of the walls is e times less likely, mm². Neighbouring places err
// together; chosen so that the walls of rendered pairs lie within.
const wallCost = 0.003

// Walls is how well a lean of the walls explains both outlines when the height
// of the upper edge over each place is known, as a log likelihood.
func (e Edge) Walls(height func(p r2.Vec) float64) parallax.Tells {
	type place struct{ height, lands, upper float64 }
	places := make([]place, len(e.gaps))
	for i, g := range e.gaps {
		h := height(g.at)
		places[i] = place{h, h / (g.heightB - h), h / g.heightA * g.footA}
	}
	return func(lean r2.Vec) float64 {
		var sum float64
		for i := range places {
			g, p := &e.gaps[i], &places[i]
			sum += huber(g.miss(p.lands, p.upper, p.height*r2.Dot(lean, g.n)))
		}
		return -sum / float64(len(e.gaps)) / wallCost
	}
}

// meanCost stops adding where it is more than most.
func meanCost(gaps []gap, e float64, run r2.Vec, most float64) float64 {
	var sum float64
	most *= float64(len(gaps))
	lands, upper := e/(gaps[0].heightB-e), e/gaps[0].heightA // the same eyes for all
	for i := range gaps {
		g := &gaps[i]
		if sum += huber(g.miss(lands, upper*g.footA, r2.Dot(run, g.n))); sum > most {
			break
		}
	}
	return sum / float64(len(gaps))
}

// huber is the square of what is small and grows in line beyond.
func huber(miss float64) float64 {
	d := math.Abs(miss)
	if d < huberMM {
		return d * d
	}
	return huberMM * (2*d - huberMM)
}

// miss is how far outline B lies beyond where it should, for an upper edge that lands
// upper outside its place in A and, by its distance from B's foot, lands outside it in
// B, and for a lower one that lies lower outside.
func (g *gap) miss(lands, upper, lower float64) float64 {
	offA := upper
	if lower > offA {
		offA = lower // the built-in max minds what is no number, and takes three times as long
	}
	offB := lands * (g.footB - offA)
	if lower > offB {
		offB = lower
	}
	return g.beyond - (offB - offA)
}

// gapsOf measures from each place of outline a along its normal to outline b.
func gapsOf(a, b []r2.Vec, eyeA, eyeB parallax.Eye) []gap {
	turn := 1.0
	if solid.SignedArea(a) < 0 {
		turn = -1
	}
	var out []gap
	for i, p := range a {
		d := r2.Sub(a[(i+2)%len(a)], a[(i+len(a)-2)%len(a)])
		if r2.Norm(d) == 0 {
			continue
		}
		d = r2.Scale(turn, r2.Unit(d))
		n := r2.Vec{X: d.Y, Y: -d.X}
		if s, ok := across(b, p, n); ok {
			out = append(out, gap{n: n, at: p, beyond: s,
				footA: r2.Dot(r2.Sub(p, eyeA.Foot), n), footB: r2.Dot(r2.Sub(p, eyeB.Foot), n), heightA: eyeA.Height, heightB: eyeB.Height})
		}
	}
	return out
}

// across is how far along n from p the outline is crossed, the nearest time.
func across(o []r2.Vec, p, n r2.Vec) (float64, bool) {
	best := farthest
	found := false
	for i, a := range o {
		b := o[(i+1)%len(o)]
		ca, cb := r2.Cross(n, r2.Sub(a, p)), r2.Cross(n, r2.Sub(b, p))
		if (ca > 0) == (cb > 0) {
			continue
		}
		q := r2.Add(a, r2.Scale(ca/(ca-cb), r2.Sub(b, a)))
		if s := r2.Dot(r2.Sub(q, p), n); math.Abs(s) < math.Abs(best) {
			best, found = s, true
		}
	}
	return best, found
}
