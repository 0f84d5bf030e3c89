package mat

import (
	"errors"
	"image"
	"math"

	"netagauge/internal/core/rank"
	"netagauge/internal/core/uncertainty"

	"gonum.org/v1/gonum/spatial/r2"
)

// Edge is what the refinement saw of one side of a tag: a measure of the
// photo's sharpness and exposure where the truth is a black-to-white step.
type Edge struct {
	WidthPx     float64 // 10 % to 90 % rise, pixels
	Angle       float64 // direction of the side in the photo, radians
	Dark, Light float64 // sRGB code values either side, 0 to 255
}

var errNoEdge = errors.New("the tag's side cannot be seen")

// srgbToLinear undoes the sRGB transfer curve (IEC 61966-2-1), so that an edge
// blurred by the lens is halved where the light is halved.
var srgbToLinear = func() (lut [256]float64) {
	for i := range lut {
		v := float64(i) / 255
		if v <= 0.04045 {
			lut[i] = v / 12.92
		} else {
			lut[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return lut
}()

// still is by how little corners move in a round for the next to move them no more,
// px: each round takes away all but a hundredth of what they were off.
const still = 0.05

// refineTag moves the corners of a tag to where straight lines through its
// four sides meet. Each side is the total-least-squares line through the
// half-light crossings of profiles taken across it. It goes on until the corners
// stay, so that they do not hang on where it began. Where two places follow each
// other in turn, by a crossing that counts in only one, their middle is taken.
func refineTag(g *image.Gray, corners [4]r2.Vec) ([4]r2.Vec, []Edge, error) {
	const rounds, apart = 6, 0.5 // px
	for round := 1; ; round++ {
		next, edges, err := refineOnce(g, corners)
		if err != nil {
			return corners, nil, err
		}
		var moved float64
		for k := range next {
			moved = math.Max(moved, r2.Norm(r2.Sub(next[k], corners[k])))
		}
		switch {
		case moved < still:
			return next, edges, nil
		case round < rounds:
			corners = next
		case moved > apart:
			return corners, nil, errNoEdge
		default:
			for k := range next {
				next[k] = r2.Scale(0.5, r2.Add(next[k], corners[k]))
			}
			return next, edges, nil
		}
	}
}

// refineOnce is one round.
func refineOnce(g *image.Gray, corners [4]r2.Vec) (next [4]r2.Vec, edges []Edge, err error) {
	var lines [4]line
	edges = make([]Edge, 4)
	for k := range lines {
		if lines[k], edges[k], err = refineSide(g, corners[k], corners[(k+1)%4]); err != nil {
			return next, nil, err
		}
	}
	far := math.Max(6, reachOf(r2.Norm(r2.Sub(corners[1], corners[0]))))
	for k := range lines {
		p, ok := lines[(k+3)%4].meet(lines[k])
		if !ok || r2.Norm(r2.Sub(p, corners[k])) > far {
			return next, nil, errNoEdge
		}
		next[k] = p
	}
	return next, edges, nil
}

// reachOf is how far a side is looked for, px, either way across it: nearly one module,
// where the border is black and the margin white, and no less than a blurred step takes.
func reachOf(side float64) float64 { return math.Max(2.5, 0.9*side/tagModules) }

// refineSide fits the side from a to b. The black square lies to the right of
// a→b as seen on screen (corners run clockwise, y down).
func refineSide(g *image.Gray, a, b r2.Vec) (line, Edge, error) {
	side := r2.Norm(r2.Sub(b, a))
	along := r2.Unit(r2.Sub(b, a))
	out := r2.Vec{X: along.Y, Y: -along.X}
	reach := reachOf(side)
	n := int(min(32, max(8, side/3)))
	pts := make([]r2.Vec, 0, n)
	var widths, darks, lights []float64
	for i := range n {
		f := 0.1 + 0.8*float64(i)/float64(n-1) // the corners are rounded by blur
		c := r2.Add(a, r2.Scale(f*side, along))
		p, ok := crossing(g, c, out, reach)
		if !ok {
			continue
		}
		pts = append(pts, r2.Add(c, r2.Scale(p.at, out)))
		widths = append(widths, p.width)
		darks = append(darks, p.dark)
		lights = append(lights, p.light)
	}
	if len(pts) < n/2 {
		return line{}, Edge{}, errNoEdge
	}
	l := fitLine(pts)
	return l, Edge{rank.Median(widths), math.Atan2(along.Y, along.X), rank.Median(darks), rank.Median(lights)}, nil
}

// step is one black-to-white step: its place along the profile, its width and
// the levels either side.
type step struct{ at, width, dark, light float64 }

// crossing finds where the light along c + t·out, |t| ≤ reach, passes half way
// between its level inside and outside.
func crossing(g *image.Gray, c, out r2.Vec, reach float64) (step, bool) {
	const perPx = 4
	n := int(2*reach*perPx) + 1
	var buf [256]float64
	if n > len(buf) {
		n = len(buf)
	}
	v := buf[:n]
	for i := range v {
		t := -reach + float64(i)/perPx
		s, ok := sample(g, c.X+t*out.X, c.Y+t*out.Y)
		if !ok {
			return step{}, false
		}
		v[i] = s
	}
	k := max(2, n/8)
	dark, light := mean(v[:k]), mean(v[n-k:])
	if light-dark < 0.004 { // of full light: one step of 8 bits
		return step{}, false
	}
	at := func(level float64) float64 {
		want := dark + level*(light-dark)
		for i := 1; i < n; i++ {
			if v[i-1] < want && v[i] >= want {
				return -reach + (float64(i-1)+(want-v[i-1])/(v[i]-v[i-1]))/perPx
			}
		}
		return math.NaN()
	}
	mid, w := at(0.5), at(0.9)-at(0.1) // half light, and the usual width of a step
	if math.IsNaN(mid) || math.IsNaN(w) {
		return step{}, false
	}
	return step{mid, w, linearToSRGB(dark), linearToSRGB(light)}, true
}

// sample reads linear light at a sub-pixel place, bilinear.
func sample(g *image.Gray, x, y float64) (float64, bool) {
	x0, y0 := int(math.Floor(x)), int(math.Floor(y))
	if x0 < 0 || y0 < 0 || x0+1 >= g.Rect.Dx() || y0+1 >= g.Rect.Dy() {
		return 0, false
	}
	fx, fy := x-float64(x0), y-float64(y0)
	i := y0*g.Stride + x0
	top := srgbToLinear[g.Pix[i]]*(1-fx) + srgbToLinear[g.Pix[i+1]]*fx
	bot := srgbToLinear[g.Pix[i+g.Stride]]*(1-fx) + srgbToLinear[g.Pix[i+g.Stride+1]]*fx
	return top*(1-fy) + bot*fy, true
}

// linearToSRGB is IEC 61966-2-1:1999, 5.2, in 8 bits.
func linearToSRGB(v float64) float64 {
	if v <= 0.0031308 {
		return 255 * 12.92 * v
	}
	return 255 * (1.055*math.Pow(v, 1/2.4) - 0.055)
}

// line is a point and a unit direction.
type line struct{ p, d r2.Vec }

// fitLine fits by total least squares, then once more without the points that
// lie beyond 2.5 robust standard deviations.
func fitLine(pts []r2.Vec) line {
	l := leastSquaresLine(pts)
	res := make([]float64, len(pts))
	for i, p := range pts {
		res[i] = math.Abs(r2.Cross(r2.Sub(p, l.p), l.d))
	}
	// Points off by 2.5 standard deviations (Rousseeuw and Leroy, Robust Regression, 1987) and by a twentieth of a pixel lie on no straight edge.
	limit := math.Max(0.05, 2.5*uncertainty.FromMedian*rank.Midpoint(res))
	kept := make([]r2.Vec, 0, len(pts))
	for i, p := range pts {
		if res[i] <= limit {
			kept = append(kept, p)
		}
	}
	if len(kept) < 4 {
		return l
	}
	return leastSquaresLine(kept)
}

func leastSquaresLine(pts []r2.Vec) line {
	var c r2.Vec
	for _, p := range pts {
		c = r2.Add(c, p)
	}
	c = r2.Scale(1/float64(len(pts)), c)
	var xx, xy, yy float64
	for _, p := range pts {
		d := r2.Sub(p, c)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	t := 0.5 * math.Atan2(2*xy, xx-yy)
	return line{c, r2.Vec{X: math.Cos(t), Y: math.Sin(t)}}
}

func (l line) meet(m line) (r2.Vec, bool) {
	den := r2.Cross(l.d, m.d)
	if math.Abs(den) < 1e-6 {
		return r2.Vec{}, false
	}
	t := r2.Cross(r2.Sub(m.p, l.p), m.d) / den
	return r2.Add(l.p, r2.Scale(t, l.d)), true
}

func mean(v []float64) float64 {
	var s float64
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}
