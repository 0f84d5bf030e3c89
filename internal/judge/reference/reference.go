// Package reference lays slices over those of a reference tray, an instructor's own:
// outline on outline, and spread on spread. It judges nothing. Lengths are in mm, weights
// in g.
package reference

import (
	"math"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/rank"
	"netagauge/internal/core/solid"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/see/shape"
)

// Laid is a slice with its middle at the origin and its long axis along x, turned or
// turned over so that it covers the reference best.
type Laid struct {
	Number  int
	Outline []r2.Vec
	Beyond  float64 // area where only it lies, mm²
	Bare    float64 // area of the reference that it leaves bare, mm²
}

// Typical is the slice of a tray whose length and width lie nearest to the medians, in
// millimetres; ok is false for a tray without slices.
func Typical(tray []piece.Piece) (p piece.Piece, ok bool) {
	lengths, widths := piece.Length.Values(tray), piece.Width.Values(tray)
	if len(lengths) == 0 || len(widths) == 0 {
		return p, false
	}
	length, width := rank.Median(lengths), rank.Median(widths)
	nearest := math.Inf(1)
	for _, x := range tray {
		if far := math.Hypot(x.Length.X-length, x.Width.X-width); far < nearest {
			p, nearest, ok = x, far, true
		}
	}
	return p, ok
}

// Over lays slices over one of the reference, which is laid at the origin too.
func Over(reference piece.Piece, tray []piece.Piece) (below []r2.Vec, over []Laid) {
	below = level(reference)
	ground := polygon(below)
	for _, p := range tray {
		if len(p.Outline) < 3 {
			continue
		}
		best := Laid{Beyond: math.Inf(1)}
		for _, turn := range []r2.Vec{{X: 1, Y: 1}, {X: -1, Y: -1}, {X: -1, Y: 1}, {X: 1, Y: -1}} {
			own := turned(level(p), turn)
			both := overlap(ground, polygon(own))
			if beyond := solid.Area(own) - both; beyond < best.Beyond {
				best = Laid{p.Number, own, beyond, solid.Area(below) - both}
			}
		}
		over = append(over, best)
	}
	return below, over
}

// level is an outline with its middle at the origin and its axis along x.
func level(p piece.Piece) []r2.Vec {
	outline := make([]r2.Vec, len(p.Outline))
	for i, q := range p.Outline {
		outline[i] = r2.Vec{X: q[0], Y: q[1]}
	}
	middle := shape.Outline(outline).Centroid()
	sin, cos := math.Sincos(-p.AxisDeg * math.Pi / 180)
	for i, q := range outline {
		q = r2.Sub(q, middle)
		outline[i] = r2.Vec{X: cos*q.X - sin*q.Y, Y: sin*q.X + cos*q.Y}
	}
	return outline
}

func turned(outline []r2.Vec, by r2.Vec) []r2.Vec {
	out := make([]r2.Vec, len(outline))
	for i, q := range outline {
		out[i] = r2.Vec{X: by.X * q.X, Y: by.Y * q.Y}
	}
	return out
}

// drawnTo is how near a line keeps to the outline for the overlap, mm.
const drawnTo = 0.3

func polygon(outline []r2.Vec) geom.Geometry {
	flat := make([]float64, 0, 2*len(outline)+2)
	for i := range len(outline) + 1 {
		q := outline[i%len(outline)]
		flat = append(flat, q.X, q.Y)
	}
	ring := geom.NewLineString(geom.NewSequence(flat, geom.DimXY)).Simplify(drawnTo)
	return geom.NewPolygon([]geom.LineString{ring}).AsGeometry()
}

// overlap is the area that both cover; 0 where they cannot be laid over each other.
func overlap(a, b geom.Geometry) float64 {
	both, err := geom.Intersection(a, b)
	if err != nil {
		return 0
	}
	return both.Area()
}

// Spread is how slices of one tray and of the reference lie in one measure.
type Spread struct {
	Measure         *piece.Measure
	Mean, Reference float64
	SD, ReferenceSD float64
	Off             evidence.Interval // how much larger the mean is than the reference's
}

// fewest slices that have a spread worth saying. Our setting.
const fewest = 3

// Spreads compares slices in each measure that enough of both have of their own.
func Spreads(reference, tray []piece.Piece) []Spread {
	var out []Spread
	for _, m := range []*piece.Measure{piece.Length, piece.Width, piece.Weight} {
		was, now := evidence.SpreadOf(m.Values(reference)), evidence.SpreadOf(m.Values(tray))
		if was.N < fewest || now.N < fewest {
			continue
		}
		s := Spread{Measure: m, Mean: now.Mean, SD: now.SD, Reference: was.Mean, ReferenceSD: was.SD}
		var ok bool
		if s.Off, ok = evidence.Means(was, now); ok {
			out = append(out, s)
		}
	}
	return out
}
