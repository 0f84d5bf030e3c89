package report

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/jpeg"
)

// Footprint is the rice ball's upper surface unrolled, as the standard sets it:
// a rounded rectangle in mm.
type Footprint struct{ Length, Width, Corner float64 }

// Annotate draws a report onto the upright, mat-aligned picture of its tray, in
// place: pixel (x, y) shows the mat at (x, y) / pxPerMM. Outlines tell the
// verdict by line as well as colour: thin and green passes, dashed and yellow
// is unsure, thick and vermilion fails, dotted and white was not measured. A
// slice that does not pass shows why: its width profile, its length, or the
// rice it leaves bare. Above them stands how many there are of each.
func (l Words) Annotate(base *image.RGBA, pxPerMM float64, r piece.Tray, rice Footprint) error {
	if !(pxPerMM > 0) || math.IsInf(pxPerMM, 1) {
		return fmt.Errorf("draw the picture of %q: %g px per mm is no scale", r.Photo.File, pxPerMM)
	}
	r, err := readable(r)
	if err != nil {
		return err
	}
	p, err := newPen(base, min(max(4.2*pxPerMM, 14), 60))
	if err != nil {
		return fmt.Errorf("draw the picture of %q: %w", r.Photo.File, err)
	}
	a := annotator{Words: l, pen: p, scale: pxPerMM, rice: rice}
	for _, piece := range r.Pieces {
		a.reasons(piece)
		a.outline(piece)
		a.koba(piece)
	}
	for _, piece := range r.Pieces { // labels lie on top of every line
		a.ends(piece)
		a.label(piece)
	}
	a.headline(r.Count())
	return nil
}

// EncodeJPEG compresses an annotated picture for a page or a file.
func EncodeJPEG(img image.Image) ([]byte, error) {
	data, err := jpeg.Encode(img, 85)
	if err != nil {
		return nil, fmt.Errorf("compress the annotated picture: %w", err)
	}
	return data, nil
}

type annotator struct {
	Words
	*pen
	scale float64 // px per mm
	rice  Footprint
}

func (a annotator) px(mm [2]float64) pt { return pt{mm[0] * a.scale, mm[1] * a.scale} }

func (a annotator) polygon(outline [][2]float64) []pt {
	out := make([]pt, len(outline))
	for i, q := range outline {
		out[i] = a.px(q)
	}
	return out
}

func closed(poly []pt) []pt { return append(poly[:len(poly):len(poly)], poly[0]) }

// outline draws a piece's edge in the line of its verdict, on a casing that
// sets it off from fish of any colour.
func (a annotator) outline(p piece.Piece) {
	if len(p.Outline) < 3 {
		return
	}
	line := closed(a.polygon(p.Outline))
	mm := a.scale
	switch {
	case p.State != piece.Measured:
		a.stroke(line, 0.7*mm, dark)
		a.strokeDashed(line, 0.4*mm, 0.5*mm, 1.2*mm, white)
	case p.Verdict == piece.Fail:
		a.stroke(line, 1.5*mm, white)
		a.stroke(line, 0.9*mm, vermilion)
	case p.Verdict == piece.Unsure:
		a.stroke(line, 1.1*mm, dark)
		a.strokeDashed(line, 0.7*mm, 3*mm, 1.6*mm, yellow)
	default:
		a.stroke(line, 0.8*mm, dark)
		a.stroke(line, 0.45*mm, green)
	}
}

// reasons draws what a piece fails for.
func (a annotator) reasons(p piece.Piece) {
	for _, f := range p.Faults {
		switch {
		case len(p.Outline) < 3:
		case f.Of() == piece.Cover:
			a.bareRice(p)
		case f.Of() == piece.Width:
			a.widthProfile(p, f)
		case f.Of() == piece.Length:
			a.lengthLine(p)
		}
	}
}

// bareRice hatches the part of the rice footprint that the slice leaves bare.
func (a annotator) bareRice(p piece.Piece) {
	if p.RicePlacement == nil || !(a.rice.Length > 0 && a.rice.Width > 0 && a.rice.Corner >= 0) {
		return
	}
	foot := a.polygon(a.rice.at(*p.RicePlacement))
	box := bounds(foot).Inset(-1).Intersect(a.img.Bounds())
	if box.Empty() {
		return
	}
	bare, slice := a.mask(box, foot), a.mask(box, a.polygon(p.Outline))
	without(bare, slice)
	draw.DrawMask(a.img, box, image.NewUniform(color.RGBA{190, 190, 190, 190}), image.Point{}, bare, box.Min, draw.Over)
	hatch(bare, max(6, int(2.5*a.scale)))
	draw.DrawMask(a.img, box, image.NewUniform(vermilion), image.Point{}, bare, box.Min, draw.Over)
	a.stroke(closed(foot), 0.5*a.scale, dark)
	a.strokeDashed(closed(foot), 0.35*a.scale, 2*a.scale, 1.5*a.scale, white)
}

// without takes another mask of the same box away from a mask.
func without(m, other *image.Alpha) {
	for i, v := range m.Pix {
		m.Pix[i] = uint8(int(v) * (255 - int(other.Pix[i])) / 255)
	}
}

// hatch leaves slanting stripes of a mask.
func hatch(m *image.Alpha, period int) {
	for y := m.Rect.Min.Y; y < m.Rect.Max.Y; y++ {
		for x := m.Rect.Min.X; x < m.Rect.Max.X; x++ {
			if (x+y)%period >= period/2 {
				m.Pix[m.PixOffset(x, y)] = 0
			}
		}
	}
}

// at is the footprint's outline in the mat frame, mm.
func (f Footprint) at(where piece.Placement) [][2]float64 {
	corner := min(f.Corner, f.Length/2, f.Width/2)
	sin, cos := math.Sincos(where.AngleDeg * math.Pi / 180)
	var out [][2]float64
	for quarter := range 4 {
		middle := math.Pi/4 + math.Pi/2*float64(quarter)
		x0, y0 := math.Copysign(f.Length/2-corner, math.Cos(middle)), math.Copysign(f.Width/2-corner, math.Sin(middle))
		for step := -8; step <= 8; step++ {
			s, c := math.Sincos(middle + math.Pi/32*float64(step))
			x, y := x0+corner*c, y0+corner*s
			out = append(out, [2]float64{where.CentreMM[0] + x*cos - y*sin, where.CentreMM[1] + x*sin + y*cos})
		}
	}
	return out
}

// widthProfile draws the chords of the width profile; between 10 and 90 % of
// the length, where the ends no longer round them off, those beyond the limits
// stand out.
func (a annotator) widthProfile(p piece.Piece, f piece.Fault) {
	for i, c := range chords(p.Outline, p.AxisDeg) {
		w := math.Hypot(c[1][0]-c[0][0], c[1][1]-c[0][1])
		beyond := f.Low != nil && w < *f.Low || f.High != nil && w > *f.High
		ends := []pt{a.px(c[0]), a.px(c[1])}
		if beyond && i >= 2 && i <= 18 {
			a.stroke(ends, 0.65*a.scale, white)
			a.stroke(ends, 0.4*a.scale, vermilion)
		} else {
			a.stroke(ends, 0.2*a.scale, color.RGBA{150, 150, 150, 150})
		}
	}
}

// lengthLine draws the measured length through the middle of the slice.
func (a annotator) lengthLine(p piece.Piece) {
	c := p.Centre()
	sin, cos := math.Sincos(p.AxisDeg * math.Pi / 180)
	h, tick := p.Length.X/2, 6.0
	at := func(along, across float64) pt {
		return a.px([2]float64{c[0] + along*cos - across*sin, c[1] + along*sin + across*cos})
	}
	lines := [][]pt{{at(-h, 0), at(h, 0)}, {at(-h, -tick), at(-h, tick)}, {at(h, -tick), at(h, tick)}}
	for _, l := range lines {
		a.stroke(l, 0.8*a.scale, white)
	}
	for _, l := range lines {
		a.stroke(l, 0.4*a.scale, vermilion)
	}
}
