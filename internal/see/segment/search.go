package segment

import (
	"image"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/vision"
)

// search is where pieces are looked for: the field, and as much of the border as
// their tops are seen over.
type search struct {
	t           *tracer
	up          Upright
	ground      *image.YCbCr    // the upright field, ready to be searched
	area, whole image.Rectangle // the field and what is searched, in the upright mat
}

// slices are the coarse outlines of what lies there, mm; what hangs together is
// parted where that is certain.
func (s *search) slices() ([][]r2.Vec, error) {
	patches, err := s.outlines(chromaShare, speck, speck)
	if err != nil {
		return nil, err
	}
	strict := sync.OnceValues(func() ([][]r2.Vec, error) { return s.outlines(stricter, speck, 0) })
	opened := sync.OnceValues(func() ([][]r2.Vec, error) { return s.outlines(chromaShare, thin, 0) })
	var out [][]r2.Vec
	for _, p := range patches {
		some, err := parts(p, strict, opened)
		if err != nil {
			return nil, err
		}
		out = append(out, some...)
	}
	return out, nil
}

// speck is the radius of the discs that clear specks off the mask, thin of those that
// clear whatever is no wider than mirror images of lamps in a puddle's rim, pixels.
const speck, thin = 2, 5

// outlines are those of the mask of a share, opened and closed by discs of so many
// pixels, mm.
func (s *search) outlines(share float64, open, closing int) ([][]r2.Vec, error) {
	mask := s.t.field.mask(s.ground, share)
	if s.t.paper != nil {
		mask = s.t.withMargin(mask, s.up.Picture, s.whole, s.area)
	}
	contours, err := vision.Contours(mask, open, closing)
	var out [][]r2.Vec
	for _, c := range contours {
		if c.Area >= smallestMM2*s.up.PxPerMM*s.up.PxPerMM {
			out = append(out, s.up.points(c.Points, s.whole.Min))
		}
	}
	return out, err
}

// atEdge reports whether an outline touches the border of what is searched.
func (s *search) atEdge(outline []r2.Vec) bool {
	w := s.whole
	for _, p := range outline {
		x, y := p.X*s.up.PxPerMM, p.Y*s.up.PxPerMM
		if x <= float64(w.Min.X) || y <= float64(w.Min.Y) || x >= float64(w.Max.X-1) || y >= float64(w.Max.Y-1) {
			return true
		}
	}
	return false
}
