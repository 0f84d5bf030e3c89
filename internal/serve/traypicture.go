package serve

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/mat"
)

// screenWidth is a phone's in CSS px; a tray's picture is drawn in such units, so
// that a number of 24 units is 24 px high there.
const screenWidth = 390

// pictureData is a tray's picture: the field, outlines and a number for each piece.
// Lengths are in CSS px where the picture is screenWidth wide.
type pictureData struct {
	Address string // of the view, to which a width may be added
	Width   int    // of the view to ask for, px
	Height  float64
	Plain   bool   // everything is drawn in the picture already
	Whole   bool   // no mat was found: it is the whole photo
	Lay     string // where a mat should lie in it, points; empty where that is not what is wrong
	Shapes  []shapeData
}

// shapeData is a piece in the picture.
type shapeData struct {
	Number  int
	Class   string // of the style
	Verdict string // key
	Points  string
	X, Y    float64 // of the number
	Lead    *r2.Vec // place in the slice that a line leads to from the number; nil where it lies there
	Says    string  // what is off
	ByHand  bool    // a person decided the verdict
}

// Wide reports whether its number takes more room than one digit.
func (x shapeData) Wide() bool { return x.Number > 9 || x.ByHand }

// frame is the box of the mat that a view shows, true mm, and what a millimetre is
// in the units of whoever draws it.
type frame struct {
	box   r2.Box
	scale float64
}

func (f frame) at(mm [2]float64) (x, y float64) {
	return f.scale * (mm[0] - f.box.Min.X), f.scale * (mm[1] - f.box.Min.Y)
}

// frameOf is the box that the kept picture of a report shows; ok is false for a
// report without a mat.
func frameOf(r piece.Tray, plain bool) (f frame, ok bool) {
	if r.Mat == nil {
		return f, false
	}
	layout, err := mat.ByName(r.Mat.Name)
	if err != nil {
		return f, false
	}
	box := layout.View()
	if plain {
		box = r2.Box{Max: layout.Paper}
	}
	print := cmp.Or(r.Mat.PrintScale, 1)
	f.box = r2.Box{Min: r2.Scale(print, box.Min), Max: r2.Scale(print, box.Max)}
	f.scale = screenWidth / (f.box.Max.X - f.box.Min.X)
	return f, true
}

func viewAddress(shot string, result int64) string {
	return fmt.Sprintf("/shots/%s/view?r=%d", shot, result)
}

// wholePhoto is a photo without a mat, with the place where one should lie, unless
// something else hid it.
func wholePhoto(address string, r piece.Tray) *pictureData {
	high := screenWidth * float64(r.Photo.HeightPx) / float64(max(1, r.Photo.WidthPx))
	out := &pictureData{Address: address, Width: phoneWidth, Height: high, Whole: true}
	if len(r.Problems) > 0 && r.Problems[0].Code != "no-mat" && r.Problems[0].Code != "few-tags" {
		return out
	}
	const share, ratio = 0.86, 1.4142 // of the photo that a mat should fill; sides of ISO 216
	half := r2.Vec{X: share * screenWidth / 2, Y: share * high / 2}
	if high > screenWidth {
		half.X = math.Min(half.X, half.Y/ratio)
		half.Y = half.X * ratio
	} else {
		half.Y = math.Min(half.Y, half.X/ratio)
		half.X = half.Y * ratio
	}
	x, y := screenWidth/2.0, high/2
	out.Lay = fmt.Sprintf("%.1f,%.1f %.1f,%.1f %.1f,%.1f %.1f,%.1f", x-half.X, y-half.Y, x+half.X, y-half.Y, x+half.X, y+half.Y, x-half.X, y+half.Y)
	return out
}

// pictureOf lays the pieces over the field, or gives the whole photo where no mat was
// found; nil where there is no picture.
func (s *Server) pictureOf(ctx context.Context, shot string, result int64, r piece.Tray, pieces []pieceData) (*pictureData, error) {
	viewed, err := s.Folder.Book().Viewed(ctx, result)
	if err != nil {
		return nil, err
	}
	f, ok := frameOf(r, !viewed)
	switch address := viewAddress(shot, result); {
	case ok:
	case viewed && r.Mat == nil && r.Photo.WidthPx > 0:
		return wholePhoto(address, r), nil
	default:
		return nil, nil
	}
	out := &pictureData{Address: viewAddress(shot, result), Width: phoneWidth, Plain: !viewed, Height: f.scale * (f.box.Max.Y - f.box.Min.Y)}
	var outlines [][]r2.Vec
	for _, p := range pieces {
		if len(p.Outline) < 3 {
			continue
		}
		outlines = append(outlines, drawnAt(f, p.Outline))
		x, y := f.at(p.Centre())
		out.Shapes = append(out.Shapes, shapeData{Number: p.Number, Class: p.Class, Verdict: p.Verdict, Points: points(f, p.Outline), X: x, Y: y, Says: p.Says, ByHand: p.Found != ""})
	}
	putNumbers(out.Shapes, outlines, out.Height)
	return out, nil
}

// drawnAt is an outline in a picture's units.
func drawnAt(f frame, outline [][2]float64) []r2.Vec {
	out := make([]r2.Vec, len(outline))
	for i, q := range outline {
		out[i].X, out[i].Y = f.at(q)
	}
	return out
}

// drawnTo is how near, in a picture's units, a drawn outline keeps to the measured
// one.
const drawnTo = 0.2

// points is an outline in a picture's units, with no more points than can be seen.
func points(f frame, outline [][2]float64) string {
	flat := make([]float64, 0, 2*len(outline)+2)
	for i := range len(outline) + 1 {
		x, y := f.at(outline[i%len(outline)])
		flat = append(flat, x, y)
	}
	line := geom.NewLineString(geom.NewSequence(flat, geom.DimXY)).Simplify(drawnTo)
	var b strings.Builder
	for i := range line.Coordinates().Length() - 1 {
		at := line.Coordinates().GetXY(i)
		fmt.Fprintf(&b, "%.1f,%.1f ", at.X, at.Y)
	}
	return strings.TrimSpace(b.String())
}
