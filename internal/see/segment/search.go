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

// coarse is the outline of one thing as the mask shows it, mm, and of the patch with
// the water that clings to it, nil where none does.
type coarse struct {
	outline, wet []r2.Vec
	lamp, washed bool // nothing but a lamp's mirror image; something whose edge that hides
}

// slices are the coarse outlines of what lies there; water is cleared off, and what
// hangs together is parted where that is certain.
func (s *search) slices() ([]coarse, error) {
	mask := s.mask(chromaShare)
	patches, err := s.outlines(mask, speck, speck)
	if err != nil {
		return nil, err
	}
	strict := sync.OnceValues(func() ([][]r2.Vec, error) { return s.outlines(s.mask(stricter), speck, 0) })
	opened := sync.OnceValues(func() ([][]r2.Vec, error) { return s.outlines(s.mask(chromaShare), thin, 0) })
	var out []coarse
	for _, patch := range patches {
		dry, err := s.dry(mask, patch)
		if err != nil {
			return nil, err
		}
		wet := patch
		if dry == nil {
			dry, wet = [][]r2.Vec{patch}, nil
		}
		for _, d := range dry {
			some, err := parts(d, strict, opened)
			if err != nil {
				return nil, err
			}
			if len(some) == 1 {
				lit, err := s.lit(mask, some[0])
				if err != nil {
					return nil, err
				}
				if lit != nil {
					out = append(out, lit...)
					continue
				}
			}
			for _, o := range some {
				out = append(out, coarse{outline: o, wet: wet})
			}
		}
	}
	return out, nil
}

// speck is the radius of the discs that clear specks off the mask, thin of those that
// clear whatever is no wider than mirror images of lamps in a puddle's rim, pixels.
const speck, thin = 2, 5

// outlines are those of a mask, opened and closed by discs of so many pixels, mm.
func (s *search) outlines(mask *image.Gray, open, closing int) ([][]r2.Vec, error) {
	contours, err := vision.Contours(mask, open, closing)
	var out [][]r2.Vec
	for _, c := range contours {
		if c.Area >= smallestMM2*s.up.PxPerMM*s.up.PxPerMM {
			out = append(out, s.up.points(c.Points, s.whole.Min))
		}
	}
	return out, err
}

// mask is that of a share over all that is searched.
func (s *search) mask(share float64) *image.Gray {
	return s.t.withMargin(s.t.field.mask(s.ground, share), s.up.Picture, s.whole, s.area)
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
