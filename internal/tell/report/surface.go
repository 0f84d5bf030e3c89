package report

import (
	"image"
	"image/draw"
	"math"
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// surface says what two photos show of a slice's top: its thickness, where
// it is thicker, and its koba; empty when they show nothing.
func (l Words) surface(p piece.Piece) string {
	if !p.WedgeAlong.Known || !p.WedgeAcross.Known || !p.Thickness.Known {
		return ""
	}
	says := phrase.Of("top-thick", p.Thickness.X, p.Thickness.U)
	turn := p.AxisDeg * math.Pi / 180
	if told(p, wedgeAlong) {
		says = says.And(thicker(p.WedgeAlong.X, turn, "end"))
	}
	if told(p, wedgeAcross) {
		says = says.And(thicker(p.WedgeAcross.X, turn+math.Pi/2, "side"))
	}
	return l.Must(says.And(kobaText(p)))
}

func kobaText(p piece.Piece) phrase.Text {
	switch {
	case p.Koba == nil:
		return phrase.Of("top-koba-unknown")
	case !*p.Koba:
		return phrase.Of("top-koba-no")
	case !p.KobaWidth.Known:
		return phrase.Of("top-koba")
	}
	says := phrase.Of("top-koba-wide", p.KobaWidth.X, p.KobaWidth.U)
	if p.KobaWidth.U == 0 {
		says = phrase.Of("top-koba-mm", p.KobaWidth.X)
	}
	if p.KobaBroken != nil && *p.KobaBroken {
		says = says.And(phrase.Of("top-koba-broken"))
	}
	return says
}

// The clauses of the advice on a wedge.
const wedgeAlong, wedgeAcross = "wedge-along", "wedge-across"

// told reports whether the coach, who has the limit, has something to say about a
// wedge.
func told(p piece.Piece, key string) bool {
	return slices.ContainsFunc(p.WedgeSays, func(c phrase.Part) bool { return c.Key == key })
}

// thicker says at which end or side, as the mat lies, a slice is thicker. The
// change runs in the direction given, in radians from the mat's x axis to its y
// axis, which points down.
func thicker(change, direction float64, part string) phrase.Text {
	if change < 0 {
		direction += math.Pi
	}
	x, y := math.Cos(direction), math.Sin(direction)
	where := "lower"
	switch {
	case math.Abs(x) >= math.Abs(y) && x > 0:
		where = "right"
	case math.Abs(x) >= math.Abs(y):
		where = "left"
	case y < 0:
		where = "upper"
	}
	return phrase.Named("top-thicker", "at-"+where+"-"+part).With(math.Abs(change))
}

// koba draws the line where a koba meets the face.
func (a annotator) koba(p piece.Piece) {
	if len(p.KobaLine) < 2 {
		return
	}
	line := a.polygon(p.KobaLine)
	a.stroke(line, 0.8*a.scale, dark)
	a.strokeDashed(line, 0.45*a.scale, 2.5*a.scale, 1*a.scale, white)
}

// endLabel is the thickness at a place along a slice, from -0.5 to 0.5.
func endLabel(p piece.Piece, place float64) string {
	return "t " + uncertainty.Decimal(p.Thickness.X+place*p.WedgeAlong.X, 1)
}

// ends writes the thickness at both ends of a slice, in mm, where two photos
// show that it is not the same.
func (a annotator) ends(p piece.Piece) {
	if !p.Thickness.Known || !p.WedgeAlong.Known || !told(p, wedgeAlong) {
		return
	}
	sin, cos := math.Sincos(p.AxisDeg * math.Pi / 180)
	m := a.face.Metrics()
	c := p.Centre()
	for _, end := range []float64{-0.4, 0.4} {
		s := endLabel(p, end)
		at := a.px([2]float64{c[0] + end*p.OverallLength.X*cos, c[1] + end*p.OverallLength.X*sin})
		w, h := a.measure(s), m.Height.Ceil()
		plate := inside(image.Rect(0, 0, w+h/2, h).Add(image.Pt(int(at.x)-w/2, int(at.y)-h/2)), a.img.Bounds())
		draw.Draw(a.img, plate, image.NewUniform(dark), image.Point{}, draw.Src)
		a.write(s, image.Pt(plate.Min.X+h/4, plate.Min.Y+m.Ascent.Ceil()), white)
	}
}
