package inspect

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
	"netagauge/internal/see/shape"
	"netagauge/internal/see/stereo"
	"netagauge/internal/tell/report"
)

// reportTop adds what a second photo shows of the surface.
func (p *piece) reportTop(r *report.Piece) {
	if !p.top.Known {
		return
	}
	w := p.wedge()
	r.WedgeAlong, r.WedgeAlongU, r.WedgeAcross, r.WedgeAcrossU = &w.Along, &w.AlongU, &w.Across, &w.AcrossU
	r.WedgeSays = w.Text()
	r.WedgeAdvice = phrase.English().Must(r.WedgeSays)
	r.ThicknessMap = thicknessMap(p.relief)
	r.Koba, r.KobaBroken = yesOrNo(p.top.Koba), yesOrNo(p.top.Broken)
	if p.top.Koba == stereo.Yes {
		u := 2 * p.top.Width.U
		r.KobaWidth, r.KobaWidthU = &p.top.Width.X, &u
		r.KobaLine = kobaLine(p.above.Face, p.along, p.top.Side, p.top.Width.X)
	}
}

// wedge is along the axis of the outline as it is from above. An axis has no sense
// of direction: that of the outline as seen may point the other way.
func (p *piece) wedge() coach.Wedge {
	sense := math.Copysign(1, r2.Dot(p.along, p.m.Axis))
	return coach.Wedge{
		Along: sense * p.top.Along.X, AlongU: 2 * p.top.Along.U,
		Across: sense * p.top.Across.X, AcrossU: 2 * p.top.Across.U,
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
	outward := r2.Scale(float64(side), r2.Vec{X: -along.Y, Y: along.X})
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
	out := make([][2]float64, len(edge))
	for i, p := range edge {
		out[i] = [2]float64{p.X, p.Y}
	}
	return out
}

// longSide is how straight outward a long side's outline faces: the cosine of
// some 25°.
const longSide = 0.9

func thicknessMap(r stereo.Relief) *report.ThicknessMap {
	xy := func(p r2.Vec) [2]float64 { return [2]float64{p.X, p.Y} }
	m := report.ThicknessMap{First: xy(r.First), Along: xy(r.Along), Across: xy(r.Across)}
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
