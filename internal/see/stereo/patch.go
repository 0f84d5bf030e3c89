package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/parallax"
)

// patch lays square cells over a slice, its rows along the slice's long axis.
type patch struct {
	origin, along, across r2.Vec // centre of cell (0, 0); unit directions
	nx, ny                int
	pitch                 float64 // mm
}

// newPatch covers all points.
func newPatch(points []r2.Vec, along r2.Vec, pitch float64) patch {
	g := patch{along: along, across: r2.Vec{X: -along.Y, Y: along.X}, pitch: pitch}
	lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range points {
		x, y := r2.Dot(p, g.along), r2.Dot(p, g.across)
		lo = r2.Vec{X: math.Min(lo.X, x), Y: math.Min(lo.Y, y)}
		hi = r2.Vec{X: math.Max(hi.X, x), Y: math.Max(hi.Y, y)}
	}
	g.origin = r2.Add(r2.Scale(lo.X, g.along), r2.Scale(lo.Y, g.across))
	g.nx, g.ny = int((hi.X-lo.X)/pitch)+2, int((hi.Y-lo.Y)/pitch)+2
	return g
}

// at is the place of column x and row y on the mat, mm.
func (g patch) at(x, y float64) r2.Vec {
	return r2.Add(g.origin, r2.Add(r2.Scale(x*g.pitch, g.along), r2.Scale(y*g.pitch, g.across)))
}

// cell is the column and row of a place, in between cells.
func (g patch) cell(p r2.Vec) (x, y float64) {
	d := r2.Sub(p, g.origin)
	return r2.Dot(d, g.along) / g.pitch, r2.Dot(d, g.across) / g.pitch
}

// raised is the patch at another height, each cell on the ray from the eye that
// goes through it at the height it has now.
func (g patch) raised(eye parallax.Eye, from, to float64) patch {
	g.origin = raise(eye, g.origin, from, to)
	g.pitch *= (eye.Height - to) / (eye.Height - from)
	return g
}

// inside tells how deep a place lies within the outline a camera sees.
type inside struct {
	eye   parallax.Eye
	grid  patch
	depth []float32 // mm to the outline, 0 outside
}

const depthPitch = 0.5 // mm

func insideOf(v View, along r2.Vec) inside {
	in := inside{eye: v.eye(), grid: newPatch(v.Outline, along, depthPitch)}
	poly := make([]r2.Vec, len(v.Outline))
	for i, p := range v.Outline {
		poly[i].X, poly[i].Y = in.grid.cell(p)
	}
	in.depth = depths(fill(poly, in.grid.nx, in.grid.ny), in.grid.nx, in.grid.ny)
	for i := range in.depth {
		in.depth[i] *= depthPitch
	}
	return in
}

// row tells which cells of a patch's row, at a height above the mat, are seen at
// least so deep inside the outline. A place lands on the mat plane farther from
// the foot by the factor H/(H - height); the patch has the same axes, so along a
// row that is in line.
func (in inside) row(g patch, y int, height float64, least float32, out []bool) {
	k := in.eye.Height / (in.eye.Height - height)
	land := func(p r2.Vec) r2.Vec { return r2.Add(in.eye.Foot, r2.Scale(k, r2.Sub(p, in.eye.Foot))) }
	x0, y0 := in.grid.cell(land(g.at(0, float64(y))))
	x1, _ := in.grid.cell(land(g.at(1, float64(y))))
	iy := int(math.Round(y0))
	if iy < 0 || iy >= in.grid.ny {
		clear(out)
		return
	}
	depths := in.depth[iy*in.grid.nx : (iy+1)*in.grid.nx]
	for x := range out {
		ix := int(x0 + float64(x)*(x1-x0) + 0.5)
		out[x] = out[x] && ix >= 0 && ix < len(depths) && depths[ix] >= least
	}
}

// mask marks the cells that are seen at least so deep inside both outlines.
func mask(g patch, a, b inside, height float64, least float32, out []bool) {
	for y := range g.ny {
		row := out[y*g.nx : (y+1)*g.nx]
		for x := range row {
			row[x] = true
		}
		a.row(g, y, height, least, row)
		b.row(g, y, height, least, row)
	}
}
