package segment

import (
	"image"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/solid"
	"netagauge/internal/see/vision"
)

// A lamp's mirror image on a clear sheet, or on the mat itself, is mat with white light
// on it: its colour lies on the way from the mat's to the paper's, wherever it is not
// burnt out. Slices that it joins are what is left without it: coloured fish lies aside
// of that way, pale fish at its end. Our settings, by looking at renders.
const (
	lampPale  = 0.88 // share of the way from mat to paper up to which it is no pale fish
	lampLeast = 0.25 // share of a patch that must look so for it to be a lamp's
	lampAll   = 0.9  // and from which on nothing else lies in it
	lampOther = 0.1  // share of a patch that may be neither light nor slice
)

// lit are the things in a patch that a lamp's mirror image joins, with the patch for what
// surrounds them; nil where no mirror image is seen, or it is not certain what lies in it.
func (s *search) lit(mask *image.Gray, patch []r2.Vec) ([]coarse, error) {
	if s.t.field.gray() || !s.atEdge(patch) && !s.t.leavesField(patch) && isWhole(patch) {
		return nil, nil
	}
	box := s.boxOf(patch)
	coloured := copied(mask, box.Sub(s.whole.Min))
	pale := copied(coloured, coloured.Rect)
	light, white := s.unlight(coloured, pale, box)
	area := solid.Area(patch)
	switch {
	case light < lampLeast*area:
		return nil, nil
	case light > lampAll*area:
		return []coarse{{outline: patch, lamp: true}}, nil
	}
	found, _, err := s.inLight(coloured, box, patch, nil)
	if err != nil {
		return nil, err
	}
	paleFound, rest, err := s.inLight(pale, box, patch, found)
	found = append(found, paleFound...)
	other := area - light - white
	for _, c := range found {
		other -= solid.Area(c.outline)
	}
	if len(found) == 0 || other > lampOther*area {
		return nil, err
	}
	return append(found, rest...), err
}

// unlight clears off the pixels of a box of the mask what looks like light on the mat:
// all of it off coloured, what is darker than pale fish off pale. light is how much is
// darker, white how much is not, mm².
func (s *search) unlight(coloured, pale *image.Gray, box image.Rectangle) (light, white float64) {
	px := 1 / (s.up.PxPerMM * s.up.PxPerMM)
	in := box.Intersect(s.area)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		mat := s.t.field.along(y - s.area.Min.Y)
		for x := in.Min.X; x < in.Max.X; x++ {
			at := coloured.PixOffset(x-box.Min.X, y-box.Min.Y)
			if coloured.Pix[at] == 0 {
				continue
			}
			share, ok := s.towardPaper(&mat, x-s.area.Min.X, y-s.area.Min.Y)
			if !ok || share > paleTo {
				continue
			}
			coloured.Pix[at] = 0
			if share < lampPale {
				pale.Pix[at] = 0
				light += px
			} else {
				white += px
			}
		}
	}
	return light, white
}

// inLight are what looks like one slice each in a box of a mask, and as rest what is
// large enough for one and does not: it is washed out. What was found before is neither.
func (s *search) inLight(m *image.Gray, box image.Rectangle, patch []r2.Vec, before []coarse) (found, rest []coarse, err error) {
	contours, err := vision.Contours(m, speck, speck)
	for _, c := range contours {
		o := withoutSpurs(s.up.points(c.Points, box.Min))
		known := slices.ContainsFunc(before, func(b coarse) bool { return solid.Inside(o, middle(b.outline)) })
		if known || solid.Area(o) < leastSlice || !solid.Inside(patch, middle(o)) {
			continue
		}
		if isWhole(o) {
			found = append(found, coarse{outline: o, wet: patch})
		} else {
			rest = append(rest, coarse{outline: o, washed: true})
		}
	}
	return found, rest, err
}
