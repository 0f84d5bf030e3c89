package plan

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/see/shape"
)

// Place is where a photographed block lies on the mat: the mat point of x = 0,
// y = 0 and the unit vectors of x (from the tail on) and y (away from the cook,
// who stands at the mat's lower edge).
type Place struct{ Origin, Along, Away r2.Vec }

// Mat is the place on the mat, mm, of a point of the block, whose height stays.
func (p Place) Mat(at r3.Vec) r3.Vec {
	v := r2.Add(p.Origin, r2.Add(r2.Scale(at.X, p.Along), r2.Scale(at.Y, p.Away)))
	return r3.Vec{X: v.X, Y: v.Y, Z: at.Z}
}

// HeightAt is the block's height at X mm from its tail end: at the near side, in
// the middle and at the far side.
type HeightAt struct{ X, Near, Middle, Far float64 }

// Even is the same height across the block.
func Even(x, height float64) HeightAt { return HeightAt{x, height, height, height} }

// MeanHeight is that of a block's top, whose sections are told so: the mean of each
// section's straight slopes, mm.
func MeanHeight(heights []HeightAt) (mean float64) {
	for _, h := range heights {
		mean += (h.Near + 2*h.Middle + h.Far) / 4 / float64(len(heights))
	}
	return mean
}

// FromOutline builds a block from its outline as seen from straight above, mm
// in the mat frame, and its height at one or more places. x runs along the line
// through the middles of the chords across it, which is also that of a block
// that tapers. The sides are taken where they are farthest out, every 4 mm and
// closer at the ends, which may be of any shape. tail is the side of the photo where the
// tail lies, the upper end if the block lies straight up and down.
func FromOutline(outline []r2.Vec, heights []HeightAt, tail Side) (Block, Place, error) {
	if err := checkOutline(outline); err != nil {
		return Block{}, Place{}, err
	}
	place := lie(outline, tail)
	var xs, near, far []float64
	lo, hi := extent(outline, place.Along)
	for _, x := range stops(hi - lo) {
		n, f, ok := sides(outline, place, lo+x)
		if ok && f-n >= minSize {
			xs, near, far = append(xs, x), append(near, n), append(far, f)
		}
	}
	if len(xs) < 2 {
		return Block{}, Place{}, phrase.Wrong("block-outline-small")
	}
	xs[0] -= endGap // the end itself has the section just within it
	xs[len(xs)-1] += endGap
	middle := (near[len(near)/2] + far[len(far)/2]) / 2
	place.Origin = r2.Add(r2.Scale(lo+xs[0], place.Along), r2.Scale(middle, place.Away))
	high, err := heightsAt(heights, xs)
	if err != nil {
		return Block{}, Place{}, err
	}
	stations := make([]Station, len(xs))
	for i := range xs {
		h := high[i]
		stations[i] = Station{xs[i], near[i] - middle, far[i] - middle, h.Near, h.Middle, h.Far}
	}
	b, err := NewBlock(thinned(stations))
	return b, place, err
}

// straight is how far a section may lie off the straight between its neighbours,
// mm, to be left out: less than the photo's own error, and a block of few
// stations is planned in a fraction of the time.
const straight = 0.15

// thinned leaves out the stations that say nothing, by Douglas and Peucker (1973)
// on near edge, far edge and height together.
func thinned(s []Station) []Station {
	worst, at := straight, 0
	a, b := s[0], s[len(s)-1]
	for i := 1; i+1 < len(s); i++ {
		f := (s[i].X - a.X) / (b.X - a.X)
		off := func(v func(Station) float64) float64 { return math.Abs(v(s[i]) - v(a) - f*(v(b)-v(a))) }
		d := max(off(func(s Station) float64 { return s.Near }), off(func(s Station) float64 { return s.Far }),
			off(func(s Station) float64 { return s.NearHeight }), off(func(s Station) float64 { return s.Height }), off(func(s Station) float64 { return s.FarHeight }))
		if d > worst {
			worst, at = d, i
		}
	}
	if at == 0 {
		return []Station{a, b}
	}
	left := thinned(s[:at+1])
	return append(left[:len(left)-1], thinned(s[at:])...)
}

func checkOutline(outline []r2.Vec) error {
	if len(outline) < 3 {
		return phrase.Wrong("block-outline-small")
	}
	for _, p := range outline {
		if math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) {
			return errors.New("the outline has a point that is not a number")
		}
	}
	if shape.Outline(outline).Hull().Area() < minSize*minSize {
		return phrase.Wrong("block-outline-small")
	}
	return nil
}

// extent is the range of ps along a unit vector.
func extent(ps []r2.Vec, along r2.Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range ps {
		v := r2.Dot(p, along)
		lo, hi = min(lo, v), max(hi, v)
	}
	return lo, hi
}

// lie finds how the block lies; the origin is still that of the mat.
func lie(outline []r2.Vec, tail Side) Place {
	along := middleLine(outline, shape.Outline(outline).LongAxis())
	if along.X < -1e-9 || math.Abs(along.X) <= 1e-9 && along.Y < 0 {
		along = r2.Scale(-1, along)
	}
	away := r2.Vec{X: along.Y, Y: -along.X} // up in the photo, as y runs down
	if tail == Right {
		along = r2.Scale(-1, along)
	}
	return Place{Along: along, Away: away}
}

// middleLine turns the axis into the line through the middles of the chords
// across it, but for a tenth of the length at each end. It settles in few
// rounds.
func middleLine(outline []r2.Vec, along r2.Vec) r2.Vec {
	const (
		chords = 80
		end    = 0.1 // share of the length
	)
	for range 4 {
		across := r2.Vec{X: -along.Y, Y: along.X}
		lo, hi := extent(outline, along)
		var xs, mids []float64
		for i := range chords {
			x := lo + (hi-lo)*(end+(1-2*end)*(float64(i)+0.5)/chords)
			if near, far, ok := sides(outline, Place{Along: along, Away: across}, x); ok {
				xs, mids = append(xs, x), append(mids, (near+far)/2)
			}
		}
		if len(xs) < chords/2 {
			return along
		}
		_, slope := stat.LinearRegression(xs, mids, nil, false)
		along = r2.Unit(r2.Add(along, r2.Scale(slope, across)))
	}
	return along
}

// endGap is how far within an end its section is taken, mm.
const endGap = 0.25

// stops are the places along a block where its sides are taken, mm.
func stops(length float64) []float64 {
	const step, nearEnd = 4.0, 3.5
	var out []float64
	for _, d := range []float64{endGap, 1, 2, 3} {
		if d < length/2 {
			out = append(out, d, length-d)
		}
	}
	n := math.Min(math.Ceil(length/step), maxStations/2)
	for i := 1.0; i < n; i++ {
		if x := length * i / n; x > nearEnd && x < length-nearEnd {
			out = append(out, x)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// sides are the outline's least and greatest y on the line across at x.
func sides(outline []r2.Vec, p Place, x float64) (near, far float64, ok bool) {
	near, far = math.Inf(1), math.Inf(-1)
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		da, db := r2.Dot(a, p.Along)-x, r2.Dot(b, p.Along)-x
		if (da < 0) != (db < 0) {
			y := r2.Dot(a, p.Away) + r2.Dot(r2.Sub(b, a), p.Away)*da/(da-db)
			near, far = min(near, y), max(far, y)
		}
	}
	return near, far, far > near
}

// heightsAt gives the height at each x, straight between the places given and
// level beyond them. xs[0] is the tail end.
func heightsAt(heights []HeightAt, xs []float64) ([]HeightAt, error) {
	if len(heights) == 0 {
		return nil, phrase.Wrong("block-height-unknown")
	}
	for i, h := range heights {
		if math.IsNaN(h.X) || i > 0 && !(h.X > heights[i-1].X) {
			return nil, phrase.Wrong("block-heights-order")
		}
	}
	out := make([]HeightAt, len(xs))
	for i, x := range xs {
		out[i] = heightAt(heights, x-xs[0])
	}
	return out, nil
}

func heightAt(hs []HeightAt, x float64) HeightAt {
	if x <= hs[0].X {
		return hs[0]
	}
	for i := 1; i < len(hs); i++ {
		if a, b := hs[i-1], hs[i]; x <= b.X {
			m := func(p, q float64) float64 { return p + (q-p)*(x-a.X)/(b.X-a.X) }
			return HeightAt{x, m(a.Near, b.Near), m(a.Middle, b.Middle), m(a.Far, b.Far)}
		}
	}
	return hs[len(hs)-1]
}
