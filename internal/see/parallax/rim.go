package parallax

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Rim is the outline of a slice as seen, followed point by point: where a wall runs
// outward the outline is its lower edge, and the upper one is seen inside, moved by
// as much all along.
type Rim []rimPoint

type rimPoint struct {
	at, normal r2.Vec
	side       int // which of the four sides it is on
}

// rimStep is from point to point, mm: nearer ones tell the same, see rimAlike.
const rimStep = 2.4

// RimOf takes an outline apart; n and m are the outward normals of a long side and
// of an end.
func RimOf(outline []r2.Vec, n, m r2.Vec) Rim {
	var r Rim
	var turn float64
	for i, p := range outline {
		turn += r2.Cross(p, outline[(i+1)%len(outline)])
	}
	left := 0.0 // to the next point, mm
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		way := r2.Sub(outline[(i+3)%len(outline)], outline[(i+len(outline)-2)%len(outline)])
		long, wide := r2.Norm(r2.Sub(q, p)), r2.Norm(way)
		if wide > 0 {
			way = r2.Scale(math.Copysign(1/wide, turn), way)
		}
		normal := r2.Vec{X: way.Y, Y: -way.X}
		for ; left < long; left += rimStep {
			at := r2.Add(p, r2.Scale(left/long, r2.Sub(q, p)))
			r = append(r, rimPoint{at, normal, sideOf(r2.Dot(normal, n), r2.Dot(normal, m))})
		}
		left -= long
	}
	return r
}

// sideOf numbers the four sides by how far a normal faces as the long side and as
// the end do.
func sideOf(long, end float64) int {
	side, by := 0, long
	if math.Abs(end) > math.Abs(long) {
		side, by = 2, end
	}
	if by < 0 {
		side++
	}
	return side
}

// Without is a rim without the points that face along n, to within 60°.
func (r Rim) Without(n r2.Vec) Rim {
	return slices.DeleteFunc(slices.Clone(r), func(p rimPoint) bool { return r2.Dot(p.normal, n) > 0.5 })
}

// How a step is looked for: so far from the edge on either side, clear of the
// blurred outline, where the wall is seen wide enough. Single steps count no
// further than greatestStep, places rimAlike apart by themselves.
const (
	stepAside    = 0.8 // mm
	leastSeen    = 1.5 // mm
	greatestStep = 0.4
	leastRun     = 3   // points
	rimAlike     = 2.5 // mm
)

// plain is by how much light and colours differ from place to place at least, where
// nothing is to be seen.
var plain = [3]float64{0.02, 0.01, 0.01}

// How a step counts: the logarithm of how much more often one so strong is met at a
// wall's upper edge than elsewhere. Fitted with the odds of all that tells the lean
// (conditional logit, McFadden 1974) on 738 slices of rendered trays: a step of 1, 3.5,
// 7 and 25 deviations has log odds of -2.8, 0.4, 1.7 and 4.6. A step of light counts
// where the wall is the darker of the two, as nearly all are; one of colour by half,
// either way.
const (
	evenStep   = 3.5 // standard deviations that are met as often in either place
	stepOdds   = 2.3
	colourStep = 0.5
	noStep     = -2.8
	sureStep   = 4.6
)

// Steps is what the light and the colours tell along the whole rim of a slice whose
// upper edge lies at a height: the upper edge of a wall that is seen follows the
// outline, be it straight or not. It is reckoned on a grid, where it is asked for, and
// taken from it in between.
func (r Rim) Steps(looks Looks, eye Eye, height float64) Tells {
	const every, cells = 2, side/2 + 1
	up := r.seen(eye, height)
	pairs := looks.pairs(up.points)
	var table [cells][cells]float64
	var known [cells][cells]bool
	at := func(j, i int) float64 {
		if !known[j][i] {
			move := r2.Scale(up.moved, leanAt(every*(j*side+i)))
			table[j][i], known[j][i] = looks.tell(pairs, up.points, move), true
		}
		return table[j][i]
	}
	return func(lean r2.Vec) float64 {
		x, y := lean.X/(every*leanStep)+cells/2, lean.Y/(every*leanStep)+cells/2
		i, j := max(0, min(cells-2, int(x))), max(0, min(cells-2, int(y)))
		fx, fy := x-float64(i), y-float64(j)
		return (1-fy)*((1-fx)*at(j, i)+fx*at(j, i+1)) + fy*((1-fx)*at(j+1, i)+fx*at(j+1, i+1))
	}
}

// upperRim is where each point's upper edge is seen.
type upperRim struct {
	points []upperPoint
	moved  float64 // by so much of a lean the upper edge is seen moved inward, mm
}

type upperPoint struct {
	at, normal r2.Vec  // at: of an upright wall
	depth      float64 // of it inside the outline, mm
	side       int
}

// seen is a rim whose upper edge lies at a height: its middle is moved outward from
// below the eye, and a rounded edge changes the light farther in.
func (r Rim) seen(eye Eye, height float64) upperRim {
	k := height / (eye.Height - height)
	out := upperRim{make([]upperPoint, len(r)), (1 + k) * height}
	for i, p := range r {
		outward := r2.Scale(k, r2.Sub(p.at, eye.Foot))
		out.points[i] = upperPoint{
			r2.Sub(r2.Add(p.at, outward), r2.Scale(edgeBreadth, p.normal)),
			p.normal, -r2.Dot(outward, p.normal), p.side,
		}
	}
	return out
}

// pair are the places on either side of an upper edge, px of the looks.
type pair struct{ face, wall r2.Vec }

func (l *Looks) pairs(points []upperPoint) []pair {
	out := make([]pair, len(points))
	for i, p := range points {
		aside := r2.Scale(stepAside, p.normal)
		out[i] = pair{l.px(r2.Sub(p.at, aside)), l.px(r2.Add(p.at, aside))}
	}
	return out
}

// tell is the evidence for a lean that moves the upper edge inward by so many mm.
func (l *Looks) tell(pairs []pair, points []upperPoint, move r2.Vec) float64 {
	var sides [4]steps
	by := r2.Scale(l.PxPerMM, move)
	for i := range points {
		p := &points[i]
		if p.depth+r2.Dot(move, p.normal) < leastSeen {
			continue
		}
		face, wall := l.index(r2.Sub(pairs[i].face, by)), l.index(r2.Sub(pairs[i].wall, by))
		if face >= 0 && wall >= 0 {
			sides[p.side].add(&l.At[face], &l.At[wall])
		}
	}
	var sum float64
	for i := range sides {
		sum += sides[i].odds()
	}
	return sum
}

// steps sums up the steps from face to wall along a side.
type steps struct {
	n           float64
	sum, square [3]float64
}

func (s *steps) add(face, wall *Look) {
	s.n++
	for c := range face {
		d := float64(max(-greatestStep, min(greatestStep, face[c]-wall[c])))
		s.sum[c] += d
		s.square[c] += d * d
	}
}

// odds is the evidence for the upper edge of a wall there, none where too little of
// one could be seen.
func (s *steps) odds() float64 {
	if s.n < leastRun {
		return 0
	}
	var t [3]float64 // by standard deviations of the mean
	for c := range t {
		m := s.sum[c] / s.n
		spread := max(0, s.square[c]/s.n-m*m) + plain[c]*plain[c]
		t[c] = m * math.Sqrt(s.n*rimStep/rimAlike/spread)
	}
	light := max(0, t[0])
	strong := math.Sqrt(light*light + colourStep*(t[1]*t[1]+t[2]*t[2]))
	return max(noStep, min(sureStep, stepOdds*math.Log(strong/evenStep)))
}
