package inspect

import (
	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/see/mat"
)

func newReport(in job) piece.Tray {
	return piece.Tray{
		Photo: piece.Photo{File: in.First.Name}, Status: piece.TrayMeasured, Standard: in.Standard.Name,
		Species: in.Matter.Species, Problems: []piece.Problem{}, Pieces: []piece.Piece{},
	}
}

func matReport(f mat.Found) *piece.Mat {
	return &piece.Mat{
		Name: f.Layout.Name, TagsSeen: f.TagsSeen, TagsTotal: len(f.Layout.Tags), ResidualMM: f.Residual,
		PxPerMM: f.PxPerMM(), TiltDeg: f.Camera.Tilt(), CameraHeightMM: -f.Camera.Eye().Z, PrintScale: 1,
	}
}

func pieceReports(pieces []*thing) []piece.Piece {
	out := make([]piece.Piece, len(pieces))
	for i, p := range pieces {
		out[i] = p.Piece
	}
	return out
}

// tally sums up the measured pieces, with the advice on the tray; nil when there is none.
func tally(r piece.Tray, says []phrase.Text) *piece.Tally {
	measured := r.MeasuredPieces()
	if len(measured) == 0 {
		return nil
	}
	c := r.Count()
	t := piece.Tally{Measured: c.Measured(), NotMeasured: c.NotMeasured, Passed: c.Good, Unsure: c.Close, Failed: c.Again}
	t.MeanLength, t.SpreadLength = meanSD(piece.Length.Values(measured))
	t.MeanWidth, t.SpreadWidth = meanSD(piece.Width.Values(measured))
	if weights := piece.Weight.Values(measured); len(weights) == t.Measured {
		mean, sd := meanSD(weights)
		total := mean * float64(len(weights))
		t.MeanWeight, t.SpreadWeight, t.TotalWeight = &mean, &sd, &total
	} else if mean, u, ok := estimate(measured); ok {
		t.MeanWeight, t.MeanWeightU, t.Estimate = &mean, u, true
	}
	t.Says = says
	for _, text := range says {
		t.Advice = append(t.Advice, phrase.English().Must(text))
	}
	return &t
}

// estimate is the mean of weights that are not all the slices' own, with the mean
// of their U: what is told of the whole tray is wrong for all of them alike, so
// nothing averages out for sure. It reports false where a weight is not known.
func estimate(measured []piece.Piece) (mean, u float64, known bool) {
	n := float64(len(measured))
	for _, p := range measured {
		if !p.Weight.Known {
			return 0, 0, false
		}
		mean, u = mean+p.Weight.X/n, u+p.Weight.U/n
	}
	return mean, u, true
}

// meanSD is the mean and the sample standard deviation, 0 for a single value.
func meanSD(v []float64) (mean, sd float64) {
	if len(v) == 1 {
		return v[0], 0
	}
	return stat.MeanStdDev(v, nil)
}
