package stereo

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
)

// Edge is what two outlines of one piece, as seen in two photos, tell of its
// upper edge.
type Edge struct {
	height float64 // mm
	miss   float64 // median distance that is left between the outlines, mm
	gaps   []gap
}

// What is tried, and how an outline is compared.
const (
	lowestEdge, highestEdge, edgeStep = 0.2, 12.0, 0.2 // mm
	runSteps, runReach                = 12, 1.2        // to either side; by height
	farthest                          = 9.0            // mm between the two outlines
	huberMM                           = 0.15
	uprightPull                       = 0.02 // mm² of cost for a wall that leans by its height
)

// gap is one place of outline A: its normal, how far outline B lies beyond it,
// and the distances of both feet from the place along the normal.
type gap struct {
	n      r2.Vec
	at     r2.Vec
	beyond float64
	footA  float64
	fa, fb parallax.Eye
}

// edgeOf fits the height of the upper edge and the run of the walls to the two
// outlines, each as seen on the mat plane.
//
// Where a side's normal n points away from the foot of the eye by d, the upper
// edge at height e lands k·d outside its true place, k = e/(H-e); the lower
// edge lies r·n outside. What is seen is the farther of the two. So one outline
// lies beyond the other by max(kB·dB, r·n) - max(kA·dA, r·n).
func edgeOf(a, b []r2.Vec, eyeA, eyeB parallax.Eye, along r2.Vec) (Edge, bool) {
	gaps := gapsOf(a, b, eyeA, eyeB)
	if len(gaps) < 30 || len(gaps) < len(a)/2 {
		return Edge{}, false
	}
	across := r2.Vec{X: -along.Y, Y: along.X}
	var height float64
	var run r2.Vec
	cost := math.Inf(1)
	var costs []float64 // at the best run for each height
	for e := lowestEdge; e <= highestEdge; e += edgeStep {
		least := math.Inf(1)
		for i := -runSteps; i <= runSteps; i++ {
			lean := runReach * float64(i) / runSteps
			r := r2.Scale(lean*e, across)
			c := uprightPull*math.Abs(lean) + meanCost(gaps, e, r)
			if c < least {
				least = c
			}
			if c < cost {
				height, run, cost = e, r, c
			}
		}
		costs = append(costs, least)
	}
	height = vertex(height, costs)
	left := make([]float64, len(gaps))
	for i, g := range gaps {
		left[i] = math.Abs(g.miss(height, run))
	}
	slices.Sort(left)
	return Edge{height, left[len(left)/2], gaps}, true
}

// wallCost is by how much the mean cost of a place along the outline may grow
// before a run of the walls is e times less likely, mm². Neighbouring places err
// together; chosen so that the walls of rendered pairs lie within.
const wallCost = 0.003

// Walls is how well a run of the walls explains both outlines when the upper
// edge is known to lie so high, as a log likelihood: only differences mean
// anything.
func (e Edge) Walls(height float64, run r2.Vec) float64 {
	return -meanCost(e.gaps, height, run) / wallCost
}

// run is the likeliest run of the walls across the slice, mm, when the upper
// edge lies so high.
func (e Edge) run(height float64, across r2.Vec) float64 {
	var best float64
	most := math.Inf(-1)
	for run := -2 * height; run <= 2*height; run += 0.2 {
		if l := e.Walls(height, r2.Scale(run, across)) - math.Abs(run); l > most {
			best, most = run, l
		}
	}
	return best
}

// vertex is that of a parabola through the cost at the height of least cost and
// its neighbours'.
func vertex(height float64, costs []float64) float64 {
	k := int(math.Round((height - lowestEdge) / edgeStep))
	if k < 1 || k+1 >= len(costs) {
		return height
	}
	l, m, r := costs[k-1], costs[k], costs[k+1]
	if curve := l - 2*m + r; curve > 0 {
		height += (l - r) / (2 * curve) * edgeStep
	}
	return height
}

func meanCost(gaps []gap, e float64, run r2.Vec) float64 {
	var sum float64
	for i := range gaps {
		d := math.Abs(gaps[i].miss(e, run))
		if d < huberMM {
			sum += d * d
		} else {
			sum += huberMM * (2*d - huberMM)
		}
	}
	return sum / float64(len(gaps))
}

// miss is how far outline B lies beyond where it should.
func (g *gap) miss(e float64, run r2.Vec) float64 {
	lower := r2.Dot(run, g.n)
	kA, kB := e/(g.fa.Height-e), e/(g.fb.Height-e)
	offA := math.Max(kA/(1+kA)*g.footA, lower)
	dB := r2.Dot(r2.Sub(g.at, g.fb.Foot), g.n) - offA
	return g.beyond - (math.Max(kB*dB, lower) - offA)
}

// gapsOf measures from each place of outline a along its normal to outline b.
func gapsOf(a, b []r2.Vec, eyeA, eyeB parallax.Eye) []gap {
	turn := 1.0
	if signedArea(a) < 0 {
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
			out = append(out, gap{n: n, at: p, beyond: s, footA: r2.Dot(r2.Sub(p, eyeA.Foot), n), fa: eyeA, fb: eyeB})
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

func signedArea(o []r2.Vec) (s float64) {
	for i, p := range o {
		s += r2.Cross(p, o[(i+1)%len(o)])
	}
	return s / 2
}
