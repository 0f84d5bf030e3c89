package matpdf

import (
	"image"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/see/label"
	"netagauge/internal/see/mat"
)

// Whatever a label says, the white cell round every tag stays white, so that
// the tag is found.
func TestWhiteRoundTags(t *testing.T) {
	const perMM = 10
	for _, l := range mat.Layouts() {
		for _, text := range []string{strings.Repeat("W", label.MaxLength), "まな板 十二番の上段", "I"} {
			g := firstPage(t, l, perMM, text)
			for _, tag := range l.Tags {
				if at, inked := inkRound(g, l, tag, perMM); inked {
					t.Errorf("%s, label %q: ink at %.1f mm in the white round tag %d", l.Name, text, at, tag.ID)
				}
			}
		}
	}
}

// inkRound looks for a pixel that is not white in the tag's cell, outside its
// black square. Pixels that an edge may run through are left out.
func inkRound(g *image.Gray, l mat.Layout, tag mat.Tag, perMM float64) (at r2.Vec, inked bool) {
	centre := r2.Scale(0.5, r2.Add(tag.Corners[0], tag.Corners[2]))
	black, white := perMM*l.TagMM/2+1, perMM*l.CellMM/2-1
	c := r2.Scale(perMM, centre)
	for y := int(c.Y - white); y < int(c.Y+white); y++ {
		for x := int(c.X - white); x < int(c.X+white); x++ {
			off := math.Max(math.Abs(float64(x)+0.5-c.X), math.Abs(float64(y)+0.5-c.Y))
			if off > black && off < white && g.GrayAt(x, y).Y < 255 {
				return r2.Scale(1/perMM, r2.Vec{X: float64(x), Y: float64(y)}), true
			}
		}
	}
	return r2.Vec{}, false
}

// matIsFound holds the mat that is found on its page to be whole, every tag within
// 0.05 mm of its place.
func matIsFound(t *testing.T, l mat.Layout, page *image.Gray) {
	t.Helper()
	f, err := mat.Find(page, 0)
	fatal.If(t, err)
	if f.Layout.Name != l.Name || f.TagsSeen != len(l.Tags) || f.TagsOff != 0 {
		t.Errorf("%s is taken for %s with %d of %d tags and %d out of place", l.Name, f.Layout.Name, f.TagsSeen, len(l.Tags), f.TagsOff)
	}
	for _, tag := range l.Tags {
		for _, want := range tag.Corners {
			at := r2.Scale(1.0/finest, r2.Add(f.Camera.Project(want, 0), r2.Vec{X: 0.5, Y: 0.5}))
			if d := r2.Norm(r2.Sub(at, want)); d > 0.05 {
				t.Errorf("%s: tag %d is placed %.3f mm off, want within 0.05", l.Name, tag.ID, d)
			}
		}
	}
	if f.OffMM > 0.05 {
		t.Errorf("%s: a tag lies %.3f mm from its place, want within 0.05", l.Name, f.OffMM)
	}
}
