package inspect

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/report"
	"netagauge/internal/stereo"
)

// reportTop adds what a second photo shows of the surface.
func (p *piece) reportTop(r *report.Piece) {
	if !p.top.Known {
		return
	}
	// An axis has no sense of direction: the outline's, as seen and as it is from
	// above, may point opposite ways.
	sense := math.Copysign(1, r2.Dot(p.along, p.m.Axis))
	along, across := sense*p.top.Along.X, sense*p.top.Across.X
	alongU, acrossU := 2*p.top.Along.U, 2*p.top.Across.U
	r.WedgeAlong, r.WedgeAlongU, r.WedgeAcross, r.WedgeAcrossU = &along, &alongU, &across, &acrossU
	r.ThicknessMap = thicknessMap(p.relief)
	r.Koba, r.KobaBroken = yesOrNo(p.top.Koba), yesOrNo(p.top.Broken)
	if p.top.Koba == stereo.Yes {
		u := 2 * p.top.Width.U
		r.KobaWidth, r.KobaWidthU = &p.top.Width.X, &u
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
