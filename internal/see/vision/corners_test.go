package vision_test

import (
	"image"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// view places a mat in a picture: turned, at a scale in px per mm, its origin
// at a place in px.
type view struct {
	scale, turn float64
	origin      r2.Vec
}

func (v view) px(mm r2.Vec) r2.Vec {
	return r2.Add(v.origin, r2.Rotate(r2.Scale(v.scale, mm), v.turn, r2.Vec{}))
}

func (v view) mm(px r2.Vec) r2.Vec {
	return r2.Scale(1/v.scale, r2.Rotate(r2.Sub(px, v.origin), -v.turn, r2.Vec{}))
}

// draw rasterises the tags of a layout: code gives a pixel's value for the
// share of black in it.
func draw(l mat.Layout, v view, w, h int, code func(black float64) uint8) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, w, h))
	for i := range g.Pix {
		g.Pix[i] = code(0)
	}
	for _, t := range l.Tags {
		mid, reach := v.px(r2.Scale(0.5, r2.Add(t.Corners[0], t.Corners[2]))), v.scale*l.TagMM
		box := image.Rect(int(mid.X-reach), int(mid.Y-reach), int(mid.X+reach), int(mid.Y+reach)).Intersect(g.Rect)
		for y := box.Min.Y; y < box.Max.Y; y++ {
			for x := box.Min.X; x < box.Max.X; x++ {
				at := r2.Vec{X: float64(x), Y: float64(y)}
				if share := blackShare(t, l.ModuleMM, v, at); share > 0 {
					g.Pix[y*g.Stride+x] = code(share)
				}
			}
		}
	}
	return g
}

// even mixes code values, as a printer's raster or a plain drawing does.
func even(black float64) uint8 { return uint8(math.Round(230 - 200*black)) }

// asCamera mixes light and stores it as sRGB (IEC 61966-2-1), as a camera does:
// the middle of an edge is then no longer the middle of its code values.
func asCamera(black float64) uint8 {
	return uint8(math.Round(255 * (1.055*math.Pow(0.8-0.78*black, 1/2.4) - 0.055)))
}

// blackShare is how much the tag's black covers of a square of 2 × 2 px about a
// pixel, about what a phone's lens makes of a sharp edge.
func blackShare(t mat.Tag, module float64, v view, px r2.Vec) float64 {
	const soft, n = 2.0, 8
	side := float64(len(t.Modules)) * module
	p, reach := r2.Sub(v.mm(px), t.Corners[0]), 2*soft/v.scale
	if p.X < -reach || p.Y < -reach || p.X > side+reach || p.Y > side+reach {
		return 0
	}
	black := 0
	for k := range n * n {
		d := r2.Vec{X: soft * ((float64(k%n)+0.5)/n - 0.5), Y: soft * ((float64(k/n)+0.5)/n - 0.5)}
		q := r2.Scale(1/module, r2.Sub(v.mm(r2.Add(px, d)), t.Corners[0]))
		col, row := int(math.Floor(q.X)), int(math.Floor(q.Y))
		if row >= 0 && row < len(t.Modules) && col >= 0 && col < len(t.Modules[row]) && t.Modules[row][col] == '0' {
			black++
		}
	}
	return float64(black) / (n * n)
}

// views are of a whole A4 mat, as large as a photo of 1540 px shows it.
var views = map[string]view{
	"a little round":   {4.37, 0.11, r2.Vec{X: 130, Y: 12.25}},
	"half a turn":      {4.1, math.Pi - 0.05, r2.Vec{X: 1380, Y: 960}},
	"a quarter turn":   {4, math.Pi/2 + 0.07, r2.Vec{X: 960, Y: 70}},
	"along the pixels": {5, 0, r2.Vec{X: 20.3, Y: 15.7}},
}

// The library's corners come in the order top-left, top-right, bottom-right,
// bottom-left, with pixel centres at whole numbers, within 0.2 px. Edges exactly
// along the pixels, which no hand-held photo shows, pull them by up to 0.3 px.
func TestCornersLieWhereDrawn(t *testing.T) {
	l, err := mat.ByName("a4")
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range views {
		t.Run(name, func(t *testing.T) {
			limit := 0.2
			if v.turn == 0 {
				limit = 0.35
			}
			tags, err := vision.DetectTags(draw(l, v, 1540, 1260, even), 1, vision.Faint)
			if err != nil {
				t.Fatal(err)
			}
			within(t, l, v, tags, limit)
		})
	}
}

// A camera mixes light and not code values, which moves the library's corners
// by half a pixel. Those that the mat is placed by must be within 0.1 px.
func TestRefinedCornersInLight(t *testing.T) {
	l, err := mat.ByName("a4")
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range views {
		t.Run(name, func(t *testing.T) {
			f, err := mat.Find(draw(l, v, 1540, 1260, asCamera), 26)
			if err != nil {
				t.Fatal(err)
			}
			if px := f.Residual * v.scale; f.TagsSeen != len(l.Tags) || px > 0.1 {
				t.Errorf("%d of %d tags fit with %.3f px left, want all within 0.1", f.TagsSeen, len(l.Tags), px)
			}
			for _, tag := range l.Tags {
				for _, c := range tag.Corners {
					if off := r2.Norm(r2.Sub(f.Camera.Project(c, 0), v.px(c))); off > 0.1 {
						t.Errorf("tag %d: the camera puts a corner %.2f px from its place", tag.ID, off)
					}
				}
			}
		})
	}
}

// within holds every corner of every tag to its place.
func within(t *testing.T, l mat.Layout, v view, tags []vision.Tag, limit float64) {
	t.Helper()
	found := map[int]vision.Tag{}
	for _, tag := range tags {
		found[tag.ID] = tag
	}
	if len(tags) != len(l.Tags) {
		t.Errorf("%d tags found, want %d", len(tags), len(l.Tags))
	}
	for _, want := range l.Tags {
		tag, ok := found[want.ID]
		if !ok {
			t.Errorf("tag %d is not found", want.ID)
			continue
		}
		for k := range want.Corners {
			if off := r2.Norm(r2.Sub(tag.Corners[k], v.px(want.Corners[k]))); off > limit {
				t.Errorf("tag %d, corner %d: %.2f px from its place, want within %g", want.ID, k, off, limit)
			}
		}
	}
}
