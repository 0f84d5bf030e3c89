package mat

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/vision"
)

// searchPx and finePx are about how long the picture is, px, that is searched for tags
// first, and where that tells too little: tags take a hundred pixels in a photo that is
// worth measuring, and the corners are refined in the photo itself.
const searchPx, finePx = 504, 1000

// plain is by how many code values black and white of a tag differ in a photo that is
// not dim. Much of fish and field differs by less, and is passed over at first.
const plain = 30

// enough tags place the mat so well that the others are found by where they must lie.
const enough = 3 * minTags

// detect searches a small picture for tags first, and larger ones only when that
// finds few.
func detect(g *image.Gray) ([]vision.Tag, error) {
	side := float64(max(g.Rect.Dx(), g.Rect.Dy()))
	tags, err := coarse(g, side)
	for decimate := math.Floor(side / finePx); err == nil && len(tags) < enough && decimate >= 1; decimate /= 2 {
		tags, err = vision.DetectTags(g, math.Floor(decimate), vision.Faint)
	}
	return tags, err
}

// coarse finds tags in the photo shrunk by whole numbers.
func coarse(g *image.Gray, side float64) ([]vision.Tag, error) {
	by := max(1, int(side/finePx))
	tags, err := vision.DetectTags(shrunk(g, by), math.Max(1, math.Floor(side/float64(by)/searchPx)), plain)
	for i := range tags {
		for k, c := range tags[i].Corners { // from middles of large pixels to those of small ones
			tags[i].Corners[k] = r2.Vec{X: (c.X+0.5)*float64(by) - 0.5, Y: (c.Y+0.5)*float64(by) - 0.5}
		}
	}
	return tags, err
}

// shrunk is a picture of which each pixel stands for a square of by × by: the mean of
// the four in its middle, which keeps noise and fine patterns down well enough.
func shrunk(g *image.Gray, by int) *image.Gray {
	if by == 1 {
		return g
	}
	w, h := g.Rect.Dx()/by, g.Rect.Dy()/by
	out := image.NewGray(image.Rect(0, 0, w, h))
	mid := by/2 - 1
	vision.InBands(h, func(from, to int) {
		for y := from; y < to; y++ {
			up := g.Pix[(y*by+mid)*g.Stride+mid:]
			down := up[g.Stride:]
			row := out.Pix[y*out.Stride:][:w]
			for x := range row {
				i := x * by
				row[x] = uint8((int(up[i]) + int(up[i+1]) + int(down[i]) + int(down[i+1]) + 2) / 4)
			}
		}
	})
	return out
}

// unread finds the tags that the search missed where the camera that fits the others
// sees them, and reads them there.
func unread(g *image.Gray, l Layout, views []view, pr prior) []view {
	if len(views) < enough || len(views) == len(l.Tags) {
		return nil
	}
	cam, err := startCamera(matches(views), pr)
	if err == nil {
		cam, err = fitLens(cam, matches(views), pr)
	}
	if err != nil {
		return nil
	}
	known := map[int]bool{}
	for _, v := range views {
		known[v.id] = true
	}
	var out []view
	for _, t := range l.Tags {
		if known[t.ID] {
			continue
		}
		v := view{id: t.ID, mm: t.Corners}
		for k, mm := range t.Corners {
			v.px[k] = cam.Project(mm, 0)
		}
		if v.px, v.edges, err = refineTag(g, v.px); err == nil && v.shows(g, t) {
			out = append(out, v)
		}
	}
	return out
}

// shows reports whether the modules within the corners are a tag's, but for one that
// may be wrong.
func (v view) shows(g *image.Gray, t Tag) bool {
	var half float64
	for _, e := range v.edges {
		half += (e.Dark + e.Light) / 2 / float64(len(v.edges))
	}
	wrong := 0
	for row, modules := range t.Modules {
		for col, m := range modules {
			fx, fy := (float64(col)+0.5)/tagModules, (float64(row)+0.5)/tagModules
			top := r2.Add(r2.Scale(1-fx, v.px[0]), r2.Scale(fx, v.px[1]))
			bottom := r2.Add(r2.Scale(1-fx, v.px[3]), r2.Scale(fx, v.px[2]))
			at := r2.Add(r2.Scale(1-fy, top), r2.Scale(fy, bottom))
			light, ok := sample(g, at.X, at.Y)
			if !ok || (linearToSRGB(light) > half) != (m == '1') {
				wrong++
			}
		}
	}
	return wrong <= 1
}
