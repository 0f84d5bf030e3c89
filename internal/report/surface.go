package report

import (
	"fmt"
	"image"
	"image/draw"
	"math"
	"strings"
)

// wedgeTold is the difference in thickness between two ends that is worth a
// word, mm. Our setting: half of it is in the noise of two photos.
const wedgeTold = 0.6

// surfaceText says what two photos show of a slice's top: its thickness, where
// it is thicker, and its koba; empty when they show nothing.
func surfaceText(p Piece) string {
	if p.WedgeAlong == nil || p.WedgeAcross == nil || p.Thickness == nil || p.ThicknessU == nil {
		return ""
	}
	parts := []string{fmt.Sprintf("%s ± %s mm thick", decimal(*p.Thickness, 1), decimal(*p.ThicknessU, 1))}
	turn := p.AxisDeg * math.Pi / 180
	if s := thicker(*p.WedgeAlong, turn); s != "" {
		parts = append(parts, s)
	}
	if s := thicker(*p.WedgeAcross, turn+math.Pi/2); s != "" {
		parts = append(parts, s)
	}
	switch {
	case p.Koba == nil:
		parts = append(parts, "whether there is a koba cannot be told")
	case !*p.Koba:
		parts = append(parts, "no koba")
	case p.KobaWidth != nil:
		s := fmt.Sprintf("koba %s mm wide", decimal(*p.KobaWidth, 1))
		if p.KobaBroken != nil && *p.KobaBroken {
			s += ", broken"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// thicker says at which end, as the mat lies, a slice is thicker and what to do
// about it. The change runs in the direction given, in radians from the mat's
// x axis to its y axis, which points down.
func thicker(change, direction float64) string {
	if math.Abs(change) < wedgeTold {
		return ""
	}
	if change < 0 {
		direction += math.Pi
	}
	x, y := math.Cos(direction), math.Sin(direction)
	end := "lower"
	switch {
	case math.Abs(x) >= math.Abs(y) && x > 0:
		end = "right"
	case math.Abs(x) >= math.Abs(y):
		end = "left"
	case y < 0:
		end = "upper"
	}
	return fmt.Sprintf("%s mm thicker at the %s end, so keep the blade level with the last cut from heel to tip", decimal(math.Abs(change), 1), end)
}

// ends writes the thickness at both ends of a slice, in mm, where two photos
// show that it is not the same.
func (a annotator) ends(p Piece) {
	if p.WedgeAlong == nil || p.Thickness == nil || math.Abs(*p.WedgeAlong) < wedgeTold {
		return
	}
	sin, cos := math.Sincos(p.AxisDeg * math.Pi / 180)
	m := a.face.Metrics()
	c := centroid(p.Outline)
	for _, end := range []float64{-0.4, 0.4} {
		s := "t " + decimal(*p.Thickness+end**p.WedgeAlong, 1)
		at := a.px([2]float64{c[0] + end*p.OverallLength*cos, c[1] + end*p.OverallLength*sin})
		w, h := a.measure(s), m.Height.Ceil()
		plate := inside(image.Rect(0, 0, w+h/2, h).Add(image.Pt(int(at.x)-w/2, int(at.y)-h/2)), a.img.Bounds())
		draw.Draw(a.img, plate, image.NewUniform(dark), image.Point{}, draw.Src)
		a.write(s, image.Pt(plate.Min.X+h/4, plate.Min.Y+m.Ascent.Ceil()), white)
	}
}
