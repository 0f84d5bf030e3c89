package inspect

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/mat"
	"netagauge/internal/tell/report"
)

func newReport(in job) report.Report {
	return report.Report{
		Photo: report.Photo{File: in.First.Name}, Status: report.Measured, Standard: in.Standard.Name,
		Species: in.Matter.Species, Problems: []report.Problem{}, Pieces: []report.Piece{},
	}
}

func matReport(f mat.Found) *report.Mat {
	return &report.Mat{
		Name: f.Layout.Name, TagsSeen: f.TagsSeen, TagsTotal: len(f.Layout.Tags), ResidualMM: f.Residual,
		PxPerMM: f.PxPerMM(), TiltDeg: f.Camera.Tilt(), CameraHeightMM: -f.Camera.Eye().Z, PrintScale: 1,
	}
}

func pieceReports(pieces []*piece) []report.Piece {
	out := make([]report.Piece, len(pieces))
	for i, p := range pieces {
		out[i] = p.report()
	}
	return out
}

func (p *piece) report() report.Piece {
	r := report.Piece{Number: p.number, State: p.state, Reason: p.reason}
	if p.state != report.PieceMeasured {
		for _, q := range p.seen.Outline {
			r.Outline = append(r.Outline, [2]float64{q.X, q.Y})
		}
		return r
	}
	for _, q := range p.above.Whole {
		r.Outline = append(r.Outline, [2]float64{q.X, q.Y})
	}
	r.Length, r.LengthU, r.Width, r.WidthU = p.m.Length, p.u.length, p.m.Width, p.u.width
	r.OverallLength, r.OverallWidth = p.m.OverallLength, p.m.OverallWidth
	r.WidthProfile, r.Area, r.AreaU, r.Taper = p.m.Profile[:], p.m.Area, p.u.area, p.m.Taper
	r.AxisDeg = math.Atan2(p.m.Axis.Y, p.m.Axis.X) * 180 / math.Pi
	r.RiceCover, r.RiceCoverU = p.cover, p.u.cover
	r.RicePlacement = &report.Placement{CentreMM: [2]float64{p.rice.Centre.X, p.rice.Centre.Y}, AngleDeg: p.rice.AngleDeg}
	if w := p.weight; w != nil {
		t, tu, wu := w.Thickness, w.Thickness.Expanded(), w.Expanded()
		r.Thickness, r.ThicknessU, r.ThicknessFrom = &t.X, &tu, t.Source
		r.Weight, r.WeightU = &w.X, &wu
		for _, s := range w.Budget {
			r.WeightBudget = append(r.WeightBudget, report.Share{Source: s.Source, U: s.U, Part: s.Part, Remedy: s.Remedy})
		}
	}
	p.reportTop(&r)
	r.Verdict, r.Triangular = report.Verdict(p.verdict.Verdict), p.verdict.Triangular
	for _, f := range p.verdict.Faults {
		says := p.adviceFor(f.What)
		r.Faults = append(r.Faults, report.Fault{What: f.What, Measured: f.Measured, Low: f.Low, High: f.High, Unsure: f.Unsure, Advice: phrase.English().Must(says), Says: says})
	}
	return r
}

// tray sums up the measured pieces; nil when there is none.
func (s *scene) tray(pieces []*piece) *report.Tray {
	var t report.Tray
	var lengths, widths, weights []float64
	var ins []coach.PieceIn
	for _, p := range pieces {
		if p.state != report.PieceMeasured {
			continue
		}
		t.Measured++
		switch p.verdict.Verdict {
		case standard.Pass:
			t.Passed++
		case standard.Fail:
			t.Failed++
		default:
			t.Unsure++
		}
		lengths, widths = append(lengths, p.m.Length), append(widths, p.m.Width)
		if p.weight != nil {
			weights = append(weights, p.weight.X)
		}
		ins = append(ins, p.forCoach())
	}
	if t.Measured == 0 {
		return nil
	}
	t.MeanLength, t.SpreadLength = meanSD(lengths)
	t.MeanWidth, t.SpreadWidth = meanSD(widths)
	if len(weights) == t.Measured {
		mean, sd := meanSD(weights)
		total := mean * float64(len(weights))
		t.MeanWeight, t.SpreadWeight, t.TotalWeight = &mean, &sd, &total
	}
	t.Says = coach.Tray(ins, coach.TargetOf(s.in.Standard, s.in.Matter.Group), s.cut(wholeTray))
	for _, says := range t.Says {
		t.Advice = append(t.Advice, phrase.English().Must(says))
	}
	return &t
}

// meanSD is the mean and the sample standard deviation, 0 for a single value.
func meanSD(v []float64) (mean, sd float64) {
	if len(v) == 1 {
		return v[0], 0
	}
	return stat.MeanStdDev(v, nil)
}
