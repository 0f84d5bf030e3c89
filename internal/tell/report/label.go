package report

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// label writes a piece's number, verdict, measures and faults on a plate in its
// middle, moved so that it lies inside the picture.
func (a annotator) label(p piece.Piece) {
	if len(p.Outline) < 3 {
		return
	}
	lines := labelLines(p)
	m := a.face.Metrics()
	height, ascent := m.Height.Ceil(), m.Ascent.Ceil()
	pad, width := max(2, height/5), 0
	for _, l := range lines {
		width = max(width, a.measure(l))
	}
	c := a.px(centroid(p.Outline))
	size := image.Pt(width+2*pad, height*len(lines)+2*pad)
	plate := inside(image.Rectangle{Max: size}.Add(image.Pt(int(c.x)-size.X/2, int(c.y)-size.Y/2)), a.img.Bounds())
	a.plate(plate, p)
	for i, l := range lines {
		ink := color.Color(white)
		if i == 0 {
			ink = labelInk(p)
		}
		a.write(l, image.Pt(plate.Min.X+pad, plate.Min.Y+pad+ascent+i*height), ink)
	}
}

// plate darkens the picture under a label and frames the label of a failure.
func (a annotator) plate(r image.Rectangle, p piece.Piece) {
	if p.State == piece.Measured && p.Verdict == piece.Fail {
		draw.Draw(a.img, r.Inset(-max(2, int(0.5*a.scale))), image.NewUniform(vermilion), image.Point{}, draw.Src)
		draw.Draw(a.img, r, image.NewUniform(dark), image.Point{}, draw.Src)
		return
	}
	draw.Draw(a.img, r, image.NewUniform(color.RGBA{16, 16, 16, 190}), image.Point{}, draw.Over)
}

func labelInk(p piece.Piece) color.Color {
	switch {
	case p.State != piece.Measured || p.Verdict == piece.Pass:
		return white
	case p.Verdict == piece.Unsure:
		return yellow
	}
	return color.RGBA{255, 170, 110, 255} // vermilion, lightened to be read on dark
}

// labelLines are short: they must fit on a slice 35 mm wide.
func labelLines(p piece.Piece) []string {
	if p.State != piece.Measured {
		return []string{fmt.Sprintf("%d %s", p.Number, shortState(p.State))}
	}
	lines := []string{
		fmt.Sprintf("%d %s", p.Number, verdictWord(p.Verdict)),
		uncertainty.Decimal(p.Length.X, 1) + " × " + uncertainty.Decimal(p.Width.X, 1) + " mm",
	}
	if p.Weight.Known {
		lines = append(lines, piece.Weight.In(p.Weight)+piece.Weight.Unit.Sign)
	}
	if p.KobaWidth.Known {
		lines = append(lines, "koba "+uncertainty.Decimal(p.KobaWidth.X, 1)+" mm")
	}
	for _, f := range p.Faults {
		lines = append(lines, short(f))
	}
	return lines
}

func shortState(s piece.State) string {
	switch s {
	case piece.CutOff:
		return "off the field"
	case piece.Touching:
		return "touches another"
	case piece.Foreign:
		return "not a slice"
	}
	return string(s)
}

// short names a fault in a word or two, certain ones in capitals.
func short(f piece.Fault) string {
	doubt := ""
	if f.Unsure {
		doubt = "?"
	}
	switch m := f.Of(); {
	case f.What == piece.NoKoba:
		return "no koba" + doubt
	case m == piece.Cover:
		return f.What + doubt + " " + faultNumber(f) + m.Unit.Sign
	}
	return f.What + " " + sideWord(f)
}

// inside moves a rectangle, as little as possible, so that it lies in the other.
func inside(r, in image.Rectangle) image.Rectangle {
	r = r.Add(image.Pt(max(0, in.Min.X-r.Min.X), max(0, in.Min.Y-r.Min.Y)))
	return r.Sub(image.Pt(max(0, r.Max.X-in.Max.X), max(0, r.Max.Y-in.Max.Y)))
}
