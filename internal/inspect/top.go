package inspect

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/coach"
	"netagauge/internal/report"
	"netagauge/internal/stereo"
)

// reportTop adds what a second photo shows of the surface.
func (p *piece) reportTop(r *report.Piece) {
	if !p.top.Known {
		return
	}
	w := p.wedge()
	r.WedgeAlong, r.WedgeAlongU, r.WedgeAcross, r.WedgeAcrossU = &w.Along, &w.AlongU, &w.Across, &w.AcrossU
	r.WedgeSays = w.Text()
	r.WedgeAdvice = coach.English(r.WedgeSays)
	r.ThicknessMap = thicknessMap(p.relief)
	r.Koba, r.KobaBroken = yesOrNo(p.top.Koba), yesOrNo(p.top.Broken)
	if p.top.Koba == stereo.Yes {
		u := 2 * p.top.Width.U
		r.KobaWidth, r.KobaWidthU = &p.top.Width.X, &u
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
