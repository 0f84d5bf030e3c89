package inspect

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
)

// tellTop adds what a second photo shows of the surface. The wedge is along the
// axis of the outline as it is from above; an axis has no sense of direction: that
// of the outline as seen may point the other way.
func (p *thing) tellTop() {
	if !p.top.Known {
		return
	}
	sense := math.Copysign(1, r2.Dot(p.along, p.m.Axis))
	p.WedgeAlong = piece.Of(sense*p.top.Along.X, p.top.Along.Expanded())
	p.WedgeAcross = piece.Of(sense*p.top.Across.X, p.top.Across.Expanded())
	p.WedgeSays = coach.Wedge(p.Piece)
	p.WedgeAdvice = phrase.English().Must(p.WedgeSays)
	p.ThicknessMap = thicknessMap(p.relief)
	p.Koba, p.KobaBroken = yesOrNo(p.top.Koba), yesOrNo(p.top.Broken)
	if p.top.Koba == stereo.Yes {
		p.KobaWidth = piece.Of(p.top.Width.X, p.top.Width.Expanded())
		p.KobaLine = kobaLine(p.above.Face, p.along, p.top.Side, p.top.Width.X)
	}
}

// yesOrNo is nil for what cannot be told.
func yesOrNo(a stereo.Answer) *bool {
	if a == stereo.CannotTell {
		return nil
	}
	yes := a == stereo.Yes
	return &yes
}

// kobaLine is where the koba meets the face: the outline of the face on that side
// of the long axis, moved inward by the koba's width, mm.
func kobaLine(face []r2.Vec, along r2.Vec, side int, width float64) [][2]float64 {
	outward := sideways(along, side)
	middle := shape.Outline(face).Centroid()
	var edge []r2.Vec
	for i, p := range face {
		d := r2.Sub(face[(i+1)%len(face)], face[(i+len(face)-1)%len(face)])
		across := math.Abs(r2.Dot(r2.Vec{X: d.Y, Y: -d.X}, outward))
		if across > longSide*r2.Norm(d) && r2.Dot(r2.Sub(p, middle), outward) > 0 {
			edge = append(edge, r2.Sub(p, r2.Scale(width, outward)))
		}
	}
	slices.SortFunc(edge, func(a, b r2.Vec) int { return cmp.Compare(r2.Dot(a, along), r2.Dot(b, along)) })
	return points(edge)
}

// sideways is outward across a direction, to the side of a surface's facet.
func sideways(along r2.Vec, side int) r2.Vec {
	return r2.Scale(float64(side), r2.Vec{X: -along.Y, Y: along.X})
}

// longSide is how straight outward a long side's outline faces: the cosine of
// some 25°.
const longSide = 0.9

func thicknessMap(r stereo.Relief) *piece.ThicknessMap {
	m := piece.ThicknessMap{First: point(r.First), Along: point(r.Along), Across: point(r.Across)}
	for row := range r.Rows {
		cells := make([]*float64, r.Cols)
		for col := range cells {
			if h := r.Height[row*r.Cols+col]; !math.IsNaN(h) {
				cells[col] = &h
			}
		}
		m.Thickness = append(m.Thickness, cells)
	}
	return &m
}
