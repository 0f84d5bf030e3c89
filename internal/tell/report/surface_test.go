package report

import (
	"bytes"
	"image"
	"math"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// says stands for the coach, who speaks of more than half a millimetre here.
func says(along, across float64) (out phrase.Text) {
	if math.Abs(along) > 0.5 {
		out = out.And(phrase.Of("wedge-along", along))
	}
	if math.Abs(across) > 0.5 {
		out = out.And(phrase.Of("wedge-across", across))
	}
	return out
}

func TestSurfaceText(t *testing.T) {
	yes, no := true, false
	for _, c := range []struct {
		name          string
		along, across float64
		axis          float64
		koba          *bool
		broken        bool
		want          string
	}{
		{"even", 0.1, -0.2, 10, &no, false, "4.3 ± 0.2 mm thick; no koba"},
		{"thicker to the right", 1.5, 0, 10, nil, false, "4.3 ± 0.2 mm thick; 1.5 mm thicker at the right end; whether there is a koba cannot be told"},
		{"the other way", -1.5, 0, 10, &yes, false, "4.3 ± 0.2 mm thick; 1.5 mm thicker at the left end; koba 4.1 mm wide"},
		{"down the mat, the axis upward", -0.9, 0, -80, &yes, true, "4.3 ± 0.2 mm thick; 0.9 mm thicker at the lower end; koba 4.1 mm wide, broken"},
		{"across", 0, -0.7, 0, &no, false, "4.3 ± 0.2 mm thick; 0.7 mm thicker at the upper side; no koba"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := piece.Piece{AxisDeg: c.axis, Thickness: piece.Of(4.3, 0.2), WedgeAlong: piece.Of(c.along, 0), WedgeAcross: piece.Of(c.across, 0), WedgeSays: says(c.along, c.across), Koba: c.koba}
			if c.koba != nil && *c.koba {
				p.KobaWidth, p.KobaBroken = piece.Of(4.12, 0), &c.broken
			}
			if got := english.surface(p); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
	doubtful := piece.Piece{Thickness: piece.Of(4.3, 0.2), WedgeAlong: piece.Of(0.9, 1.1), WedgeAcross: piece.Of(0., 0), Koba: &yes, KobaWidth: piece.Of(4., 2.4)}
	if got, want := english.surface(doubtful), "4.3 ± 0.2 mm thick; koba 4.0 ± 2.4 mm wide"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got := english.surface(piece.Piece{Thickness: piece.Of(4.3, 0.2)}); got != "" {
		t.Errorf("one photo shows nothing of the surface, yet it reads %q", got)
	}
}

// A slice thicker at one end carries both thicknesses on its picture; an even
// one does not.
func TestEndsAreDrawn(t *testing.T) {
	var kobaAt [][2]float64
	drawn := func(wedge float64) []byte {
		img := image.NewRGBA(image.Rect(0, 0, 480, 320))
		p := piece.Piece{
			Number: 1, State: piece.Measured, Verdict: piece.Pass, Outline: [][2]float64{{20, 30}, {100, 30}, {100, 65}, {20, 65}},
			Length: piece.Of(80, 0), Width: piece.Of(35, 0), OverallLength: piece.Of(80, 0), Thickness: piece.Of(4.3, 0.2), WedgeAlong: piece.Of(wedge, 0), WedgeAcross: piece.Of(0., 0), WedgeSays: says(wedge, 0), KobaLine: kobaAt,
		}
		fatal.If(t, english.Annotate(img, 4, piece.Tray{Status: piece.TrayMeasured, Pieces: []piece.Piece{p}}, Footprint{65, 30, 14}))
		return img.Pix
	}
	even, wedge, other := drawn(0.2), drawn(1.4), drawn(-1.4)
	if bytes.Equal(even, wedge) || bytes.Equal(wedge, other) {
		t.Error("the picture does not tell the thick end from the thin one")
	}
	kobaAt = [][2]float64{{24, 60}, {96, 60}}
	if bytes.Equal(even, drawn(0.2)) {
		t.Error("the picture does not show the koba")
	}
	kobaAt = nil
	if !bytes.Equal(even, drawn(-0.2)) {
		t.Error("an even slice carries thicknesses at its ends")
	}
}
