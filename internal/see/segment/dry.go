package segment

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/solid"
	"netagauge/internal/see/vision"
)

// Water that clings to a slice shows the mat with light on it: its colour, as a
// ratio to brightness, lies between the mat's and the paper's. Fish of a colour of
// its own lies off that line; pale fish lies at the paper's end of it, and a wall of
// pale fish, which the mat lights, somewhat nearer. Chosen by looking at renders.
const (
	wetPale     = 0.7  // share of the way from mat to paper up to which it is no pale fish
	wetColoured = 0.85 // nor coloured fish, whose blurred edge passes by here
	offLine     = 0.15 // shares of that way to either side that water may lie
	paleFrom    = 0.8  // from here to paleTo on the line lies pale fish;
	paleTo      = 1.2
	paleFew     = 0.1  // a patch with a smaller share of it has a colour of its own
	plainMat    = 0.25 // how far mat and paper must differ for water to be told
	mostWater   = 0.3  // of a patch; where it looks like more, it is silver skin
	rougher     = 0.02 // share of its hull that an outline may lose: water goes from around a slice
)

// The blur of an edge looks like water, too: a patch has water where a disc of the
// radius wetSure fits into it, pixels, and then wherever one of wetThin does. Where
// colour is smeared, by so many times that more.
const (
	wetSure, wetThin = 2, 1
	wetSmears        = 1.5
	wetLeast         = 0.6 // mm that the water must reach outward for a profile to end in it
)

// dry are the outlines of what is left of a patch of the mask without the water, mm, or
// on a board without colour without its own shadow; nil where none clings to it.
func (s *search) dry(mask *image.Gray, patch []r2.Vec) ([][]r2.Vec, error) {
	box := s.boxOf(patch)
	fish := copied(mask, box.Sub(s.whole.Min))
	likeIt := s.likeWater
	if s.t.field.gray() {
		likeIt = s.likeShadow
	}
	like := likeIt(fish, box)
	smear := int(wetSmears * s.t.smear * s.up.PxPerMM)
	if sure, err := vision.Opened(like, wetSure+smear); err != nil || !anySet(sure) {
		return nil, err
	}
	water, err := vision.Opened(like, wetThin+smear)
	if err != nil {
		return nil, err
	}
	for i, v := range water.Pix {
		fish.Pix[i] &^= v
	}
	contours, err := vision.Contours(fish, speck, speck)
	var dry [][]r2.Vec
	var area float64
	for _, c := range contours {
		o := s.up.points(c.Points, box.Min)
		if c.Area >= smallestMM2*s.up.PxPerMM*s.up.PxPerMM && solid.Inside(patch, middle(o)) {
			dry, area = append(dry, o), area+solid.Area(o)
		}
	}
	if err != nil || area < (1-mostWater)*solid.Area(patch) {
		return nil, err
	}
	for _, o := range dry {
		if fullness(o) < fullness(patch)-rougher || len(dry) > 1 && (solid.Area(o) < leastSlice || fullness(o) < oneWhole) {
			return nil, nil // light on a slice itself
		}
	}
	return dry, nil
}

// fullness is an outline's area by its hull's.
func fullness(o []r2.Vec) float64 { return solid.Area(o) / solid.Area(solid.Hull(o)) }

// likeWater marks the pixels of a box of the mask whose colour may be that of water.
func (s *search) likeWater(mask *image.Gray, box image.Rectangle) *image.Gray {
	out := image.NewGray(mask.Rect)
	var marked, pale int
	var unsure []int
	in := box.Intersect(s.area)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		mat := s.t.field.along(y - s.area.Min.Y)
		row := (y - box.Min.Y) * mask.Stride
		for x := in.Min.X; x < in.Max.X; x++ {
			at := row + x - box.Min.X
			if mask.Pix[at] == 0 {
				continue
			}
			marked++
			share, ok := s.towardPaper(&mat, x-s.area.Min.X, y-s.area.Min.Y)
			switch {
			case !ok:
			case share < wetPale:
				out.Pix[at] = 255
			case share < wetColoured:
				unsure = append(unsure, at)
			}
			if ok && share > paleFrom && share < paleTo {
				pale++
			}
		}
	}
	if float64(pale) < paleFew*float64(marked) {
		for _, at := range unsure {
			out.Pix[at] = 255
		}
	}
	return out
}

// likeShadow marks the pixels of a box of the mask that have a colourless board's colour
// and are darker than it.
func (s *search) likeShadow(mask *image.Gray, box image.Rectangle) *image.Gray {
	out := image.NewGray(mask.Rect)
	in := box.Intersect(s.area)
	limit := s.t.field.grayLimit()
	for y := in.Min.Y; y < in.Max.Y; y++ {
		mat := s.t.field.along(y - s.area.Min.Y)
		for x := in.Min.X; x < in.Max.X; x++ {
			at := (y-box.Min.Y)*mask.Stride + x - box.Min.X
			if mask.Pix[at] == 0 {
				continue
			}
			i := (y-s.area.Min.Y)*s.ground.YStride + x - s.area.Min.X
			l, b, r := ratios(s.ground.Y[i], s.ground.Cb[i], s.ground.Cr[i])
			ml, mb, mr := mat.at(2*float64(x-s.area.Min.X)/float64(s.t.field.w) - 1)
			if l < ml && math.Hypot(b-mb, r-mr) <= limit {
				out.Pix[at] = 255
			}
		}
	}
	return out
}

// towardPaper is how far along the way from the bare mat's colour to the paper's a
// pixel of the field lies; false where it lies beside it or the way is too short.
func (s *search) towardPaper(mat *line, x, y int) (share float64, ok bool) {
	p := s.ground
	i := y*p.YStride + x
	_, b, r := ratios(p.Y[i], p.Cb[i], p.Cr[i])
	_, mb, mr := mat.at(2*float64(x)/float64(s.t.field.w) - 1)
	way, here := r2.Vec{X: s.t.paper.b - mb, Y: s.t.paper.r - mr}, r2.Vec{X: b - mb, Y: r - mr}
	n := r2.Norm2(way)
	return r2.Dot(here, way) / n, n >= plainMat*plainMat && math.Abs(r2.Cross(way, here)) <= offLine*n
}

// boxOf are the pixels about an outline.
func (s *search) boxOf(outline []r2.Vec) (box image.Rectangle) {
	for _, p := range outline {
		x, y := int(p.X*s.up.PxPerMM), int(p.Y*s.up.PxPerMM)
		box = box.Union(image.Rect(x-2, y-2, x+3, y+3))
	}
	return box.Intersect(s.whole)
}

// copied is a part of a picture.
func copied(p *image.Gray, r image.Rectangle) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, r.Dx(), r.Dy()))
	for y := range r.Dy() {
		copy(out.Pix[y*out.Stride:][:r.Dx()], p.Pix[p.PixOffset(r.Min.X, r.Min.Y+y):])
	}
	return out
}

func anySet(mask *image.Gray) bool {
	for _, v := range mask.Pix {
		if v != 0 {
			return true
		}
	}
	return false
}

// water is how far water reaches outward from a place, up to the outline of its
// patch, mm; 0 for no more than the blur of an edge makes.
func (t *tracer) water(pt *point, wet []r2.Vec) float64 {
	nearest := math.Inf(1)
	for i, a := range wet {
		b := wet[(i+1)%len(wet)]
		ca, cb := r2.Cross(pt.normal, r2.Sub(a, pt.at)), r2.Cross(pt.normal, r2.Sub(b, pt.at))
		if (ca > 0) == (cb > 0) {
			continue
		}
		q := r2.Add(a, r2.Scale(ca/(ca-cb), r2.Sub(b, a)))
		if d := r2.Dot(r2.Sub(q, pt.at), pt.normal); d > 0 {
			nearest = math.Min(nearest, d)
		}
	}
	if nearest < wetLeast+wetSmears*t.smear || math.IsInf(nearest, 1) {
		return 0
	}
	return nearest
}
