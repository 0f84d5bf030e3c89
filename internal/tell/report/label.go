package report

import (
	"image"
	"image/color"
	"image/draw"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// label writes a piece's number, verdict, measures and faults on a plate in its
// middle, moved so that it lies inside the picture.
func (a annotator) label(p piece.Piece) {
	if len(p.Outline) < 3 {
		return
	}
	lines := a.labelLines(p)
	m := a.face.Metrics()
	height, ascent := m.Height.Ceil(), m.Ascent.Ceil()
	pad, width := max(2, height/5), 0
	for _, l := range lines {
		width = max(width, a.measure(l))
	}
	c := a.px(p.Centre())
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

// headline sums up the tray in the upper left corner, where no slice can be measured.
func (a annotator) headline(c piece.Count) {
	if c.Slices() == 0 {
		return
	}
	says := a.Must(c.Says())
	m := a.face.Metrics()
	height, ascent := m.Height.Ceil(), m.Ascent.Ceil()
	pad := max(2, height/5)
	plate := image.Rectangle{Max: image.Pt(a.measure(says)+2*pad, height+pad)}.Add(a.img.Bounds().Min)
	a.plate(plate, piece.Piece{})
	a.write(says, plate.Min.Add(image.Pt(pad, pad/2+ascent)), white)
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
func (l Words) labelLines(p piece.Piece) []string {
	if p.State != piece.Measured {
		return []string{l.Must(phrase.Named("mark-verdict", "mark-"+string(p.State)).With(float64(p.Number)))}
	}
	lines := []string{
		l.Must(phrase.Named("mark-verdict", "verdict-"+string(p.Verdict)).With(float64(p.Number))),
		uncertainty.Decimal(p.Length.X, 1) + " × " + uncertainty.Decimal(p.Width.X, 1) + " mm",
	}
	if p.Weight.Known {
		lines = append(lines, piece.Weight.In(p.Weight)+piece.Weight.Unit.Sign)
	}
	if p.KobaWidth.Known {
		lines = append(lines, l.Must(phrase.Of("mark-koba-wide", p.KobaWidth.X)))
	}
	for _, f := range p.Faults {
		lines = append(lines, l.short(f))
	}
	return lines
}

// short names a fault in a word or two, with what is seen of the rice.
func (l Words) short(f piece.Fault) string {
	if m := f.Of(); m == piece.Cover {
		return l.side(f) + " " + faultNumber(f) + m.Unit.Sign
	}
	return l.side(f)
}

// inside moves a rectangle, as little as possible, so that it lies in the other.
func inside(r, in image.Rectangle) image.Rectangle {
	r = r.Add(image.Pt(max(0, in.Min.X-r.Min.X), max(0, in.Min.Y-r.Min.Y)))
	return r.Sub(image.Pt(max(0, r.Max.X-in.Max.X), max(0, r.Max.Y-in.Max.Y)))
}
