package handout

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"slices"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/see/mat"
)

// The picture on paper has the line of the verdict that was said, where the slice lies:
// of one said to be good nothing is drawn as if it failed, of one said to be none the
// line is that of what was not measured.
func TestPictureAsDecided(t *testing.T) {
	layout, err := mat.ByName("a4")
	fatal.If(t, err)
	const scale = 8 // px per mm
	box, at := layout.View(), layout.View().Center()
	blank := image.NewRGBA(image.Rect(0, 0, int(scale*(box.Max.X-box.Min.X)), int(scale*(box.Max.Y-box.Min.Y))))
	draw.Draw(blank, blank.Rect, image.NewUniform(color.Gray{90}), image.Point{}, draw.Src)
	var view bytes.Buffer
	fatal.If(t, jpeg.Encode(&view, blank, nil))
	p := piece.Piece{Number: 1, State: piece.Measured, Verdict: piece.Fail, Length: piece.Of(90, 1), Width: piece.Of(35, 1), Faults: []piece.Fault{{What: "length", Measured: 90}},
		Outline: [][2]float64{{at.X - 45, at.Y - 17}, {at.X + 45, at.Y - 17}, {at.X + 45, at.Y + 17}, {at.X - 45, at.Y + 17}}}
	for name, c := range map[string]struct {
		override *piece.Override
		is       func(color.RGBA) bool
	}{
		"a print of 95 %": {nil, func(c color.RGBA) bool { return c.R > 180 && c.G < 130 && c.B < 60 }},
		"as measured":     {nil, func(c color.RGBA) bool { return c.R > 180 && c.G < 130 && c.B < 60 }},
		"said good":       {&piece.Override{Kind: piece.SaidGood}, func(c color.RGBA) bool { return c.R < 60 && c.G > 120 }},
		"no slice":        {&piece.Override{Kind: piece.NotASlice}, func(c color.RGBA) bool { return c.R < 60 && c.G < 60 || c.R > 200 && c.B > 200 }},
	} {
		p, print := p, 1.0
		if name == "a print of 95 %" { // all true lengths are shorter, and the picture is the same
			print = 0.95
			p.Outline = slices.Clone(p.Outline)
			for i, q := range p.Outline {
				p.Outline[i] = [2]float64{print * q[0], print * q[1]}
			}
		}
		tray := grade.Tray{Report: piece.Tray{Mat: &piece.Mat{Name: "a4", PrintScale: print}, Pieces: []piece.Piece{p}}, Overrides: map[int]piece.Override{}}
		if c.override != nil {
			tray.Overrides[1] = *c.override
		}
		drawn, err := redrawn(view.Bytes(), decided(tray.Report, board.Photo{Slices: grade.Slices([]grade.Tray{tray})}), phrase.English(), standard.Default().Rice)
		fatal.If(t, err)
		got, err := jpeg.Decode(bytes.NewReader(drawn))
		fatal.If(t, err)
		x, y, hits := int(scale*(at.X-30-box.Min.X)), int(scale*(at.Y-17-box.Min.Y)), 0
		for i := range 40 {
			if c.is(color.RGBAModel.Convert(got.At(x+i, y)).(color.RGBA)) {
				hits++
			}
		}
		if hits < 20 {
			t.Errorf("%s: %d of 40 points on the slice's edge have the line's colour", name, hits)
		}
	}
}
