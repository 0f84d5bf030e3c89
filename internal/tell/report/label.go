package report

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
)

// label writes a piece's number, verdict, measures and faults on a plate in its
// middle, moved so that it lies inside the picture.
func (a annotator) label(p Piece) {
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
func (a annotator) plate(r image.Rectangle, p Piece) {
	if p.State == PieceMeasured && p.Verdict == Fail {
		draw.Draw(a.img, r.Inset(-max(2, int(0.5*a.scale))), image.NewUniform(vermilion), image.Point{}, draw.Src)
		draw.Draw(a.img, r, image.NewUniform(dark), image.Point{}, draw.Src)
		return
	}
	draw.Draw(a.img, r, image.NewUniform(color.RGBA{16, 16, 16, 190}), image.Point{}, draw.Over)
}

func labelInk(p Piece) color.Color {
	switch {
	case p.State != PieceMeasured || p.Verdict == Pass:
		return white
	case p.Verdict == Unsure:
		return yellow
	}
	return color.RGBA{255, 170, 110, 255} // vermilion, lightened to be read on dark
}

// labelLines are short: they must fit on a slice 35 mm wide.
func labelLines(p Piece) []string {
	if p.State != PieceMeasured {
		return []string{fmt.Sprintf("%d %s", p.Number, shortState(p.State))}
	}
	lines := []string{
		fmt.Sprintf("%d %s", p.Number, verdictWord(p.Verdict)),
		decimal(p.Length, 1) + " × " + decimal(p.Width, 1) + " mm",
	}
	if p.Weight != nil {
		lines = append(lines, weightText(p)+" g")
	}
	if p.Koba != nil && *p.Koba && p.KobaWidth != nil {
		lines = append(lines, "koba "+decimal(*p.KobaWidth, 1)+" mm")
	}
	for _, f := range p.Faults {
		lines = append(lines, f.short(p))
	}
	return lines
}

func shortState(s State) string {
	switch s {
	case PieceCutOff:
		return "off the field"
	case PieceTouching:
		return "touches another"
	case PieceForeign:
		return "not a slice"
	}
	return string(s)
}

// short names a fault in a word or two, certain ones in capitals.
func (f Fault) short(p Piece) string {
	switch {
	case f.isCover():
		return f.What + f.doubt() + " " + coverText(p)
	case f.What == "koba":
		return "no koba" + f.doubt()
	}
	return f.What + " " + f.side()
}

func (f Fault) doubt() string {
	if f.Unsure {
		return "?"
	}
	return ""
}

// inside moves a rectangle, as little as possible, so that it lies in the other.
func inside(r, in image.Rectangle) image.Rectangle {
	r = r.Add(image.Pt(max(0, in.Min.X-r.Min.X), max(0, in.Min.Y-r.Min.Y)))
	return r.Sub(image.Pt(max(0, r.Max.X-in.Max.X), max(0, r.Max.Y-in.Max.Y)))
}
