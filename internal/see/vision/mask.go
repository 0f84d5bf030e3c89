package vision

import (
	"errors"
	"image"

	"gocv.io/x/gocv"
)

var errNoMask = errors.New("mask is empty")

// Contour is the outer border of one patch of a mask: the centres of its
// border pixels in order.
type Contour struct {
	Points []image.Point
	Area   float64 // of the patch, holes filled, px²
}

// Contours returns the outer border of every patch of set pixels (Suzuki and
// Abe 1985) after clearing specks: an opening, then a closing, with discs of
// the given radii in pixels. The mask itself is cleared of them.
func Contours(mask *image.Gray, open, closing int) ([]Contour, error) {
	m, err := matOf(mask)
	if err != nil {
		return nil, err
	}
	defer m.Close()
	morph(&m, gocv.MorphOpen, open)
	morph(&m, gocv.MorphClose, closing)
	found := gocv.FindContours(m, gocv.RetrievalExternal, gocv.ChainApproxNone)
	defer found.Close()
	out := make([]Contour, 0, found.Size())
	for i := range found.Size() {
		v := found.At(i)
		if v.Size() >= 3 {
			out = append(out, Contour{v.ToPoints(), gocv.ContourArea(v)})
		}
	}
	return out, nil
}

// Opened is a mask without what no disc of the radius, in pixels, fits into.
func Opened(mask *image.Gray, radius int) (*image.Gray, error) {
	m, err := matOf(mask)
	if err != nil {
		return nil, err
	}
	defer m.Close()
	disc := gocv.GetStructuringElement(gocv.MorphEllipse, image.Pt(2*radius+1, 2*radius+1))
	defer disc.Close()
	out := gocv.NewMat()
	defer out.Close()
	gocv.MorphologyEx(m, &out, gocv.MorphOpen, disc)
	return &image.Gray{Pix: out.ToBytes(), Stride: m.Cols(), Rect: image.Rect(0, 0, m.Cols(), m.Rows())}, nil
}

// matOf wraps a gray picture, or a copy where its rows do not follow each other; the
// caller closes it.
func matOf(g *image.Gray) (gocv.Mat, error) {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	if w < 3 || h < 3 || len(g.Pix) < (h-1)*g.Stride+w {
		return gocv.Mat{}, errNoMask
	}
	return gocv.NewMatFromBytes(h, w, gocv.MatTypeCV8UC1, packed(g.Pix, w, h, g.Stride))
}

// packed is a plane without its stride's slack.
func packed(pix []byte, w, h, stride int) []byte {
	if stride == w {
		return pix[:w*h]
	}
	out := make([]byte, w*h)
	for y := range h {
		copy(out[y*w:(y+1)*w], pix[y*stride:y*stride+w])
	}
	return out
}

// morph applies an opening or closing with a disc in place.
func morph(m *gocv.Mat, op gocv.MorphType, radius int) {
	if radius < 1 {
		return
	}
	disc := gocv.GetStructuringElement(gocv.MorphEllipse, image.Pt(2*radius+1, 2*radius+1))
	defer disc.Close()
	gocv.MorphologyEx(*m, m, op, disc)
}
