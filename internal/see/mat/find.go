package mat

import (
	"errors"
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
	"netagauge/internal/see/vision"
)

// Found is a mat located in a photo.
type Found struct {
	Layout   Layout
	Camera   Camera
	TagsSeen int     // tags that fit
	TagsOff  int     // tags read but away from their place on a flat mat
	Twice    int     // tags read in more than one place, as of two mats
	Residual float64 // rms distance of corners from their place, mm
	OffMM    float64 // largest such distance among all tags read, mm
	HeightU  float64 // standard uncertainty of the camera's height, mm
	Sharp    Sharpness

	flat  []view // the tags that fit, for a fit together with another photo
	prior prior
	lens  lens
}

// Cropped reports whether the photo's middle is not the lens's: a part of it was
// cut away.
func (f Found) Cropped() bool { return f.lens.centre == cropped }

// Sharpness is what the tags' black-to-white steps tell of focus, motion and
// exposure.
type Sharpness struct {
	BlurMM      float64 // median rise of a step in its worst direction, mm on the mat
	BlurPx      float64 // the same, px
	Dark, Light float64 // sRGB code values of black and of paper, 0 to 255
}

// ErrNoMat means that no tag of a mat was read; ErrFewTags that too few were,
// or too close together, to place the mat soundly.
var (
	ErrNoMat   = errors.New("no mat found")
	ErrFewTags = errors.New("too few tags of the mat seen")
)

// Prior focal length when the photo does not record one: phone main cameras
// lie between 22 and 30 mm (35 mm equivalent).
const (
	defaultF35 = 26.0
	recordedF  = 0.05 // relative standard uncertainty of a recorded focal length
	diagonal35 = 43.27
	minTags    = 4
)

// Find locates the mat in the brightness plane of a photo. f35 is the recorded
// 35 mm equivalent focal length in mm, or 0.
func Find(g *image.Gray, f35 float64) (Found, error) {
	seen, err := detect(g)
	if err != nil {
		return Found{}, err
	}
	layout, tags := vote(seen)
	if len(tags) == 0 {
		return Found{}, ErrNoMat
	}
	f := Found{Layout: layout, Twice: twice(tags)}
	pr := priorFor(g, f35)
	views := refineAll(g, layout, tags)
	views = append(views, unread(g, layout, views, pr)...)
	f.TagsSeen = len(views)
	if len(views) < minTags || span(views) < 0.25*r2.Norm(layout.Paper) { // tags in one corner say nothing of the rest: a quarter of the sheet's diagonal, our setting
		return f, ErrFewTags
	}
	fit, err := fitCamera(matches(views), pr)
	if err != nil {
		return f, ErrFewTags
	}
	f.take(fit)
	return f.settle(views, pr)
}

// vote picks the mat that most tags belong to and drops the rest.
func vote(seen []vision.Tag) (Layout, []vision.Tag) {
	count := map[string]int{}
	best := Layout{}
	for _, t := range seen {
		if l, ok := ByTag(t.ID); ok {
			if count[l.Name]++; count[l.Name] > count[best.Name] {
				best = l
			}
		}
	}
	var tags []vision.Tag
	for _, t := range seen {
		if l, ok := ByTag(t.ID); ok && l.Name == best.Name {
			tags = append(tags, t)
		}
	}
	return best, tags
}

// twice is how many tags were read in more than one place.
func twice(tags []vision.Tag) (n int) {
	seen := map[int]int{}
	for _, t := range tags {
		if seen[t.ID]++; seen[t.ID] == 2 {
			n++
		}
	}
	return n
}

// view is one tag as seen: its corners on the mat and in the photo.
type view struct {
	id     int
	mm, px [4]r2.Vec
	edges  []Edge
}

// refineAll refines the corners of tags, on as many cores as there are; those whose
// sides cannot be seen are left out.
func refineAll(g *image.Gray, l Layout, tags []vision.Tag) []view {
	refined := make([]view, len(tags))
	vision.InBands(len(tags), func(from, to int) {
		for i, t := range tags[from:to] {
			if px, edges, err := refineTag(g, t.Corners); err == nil {
				refined[from+i] = view{id: t.ID, px: px, edges: edges}
			}
		}
	})
	byID := map[int]Tag{}
	for _, t := range l.Tags {
		byID[t.ID] = t
	}
	var views []view
	for _, v := range refined {
		if t, ok := byID[v.id]; ok && v.edges != nil {
			v.mm = t.Corners
			views = append(views, v)
			delete(byID, t.ID) // a tag seen twice is a copy: the first one stands
		}
	}
	return views
}

func matches(views []view) []match {
	var ms []match
	for _, v := range views {
		for k := range v.mm {
			ms = append(ms, match{v.mm[k], v.px[k]})
		}
	}
	return ms
}

func priorFor(g *image.Gray, f35 float64) prior {
	spread := recordedF
	if f35 == 0 {
		// The photo says nothing: a fifth, one standard deviation, holds what phones' main cameras have (common practice, no source).
		f35, spread = defaultF35, 0.2
	}
	w, h := g.Rect.Dx(), g.Rect.Dy()
	return prior{width: w, height: h, f: f35 * math.Hypot(float64(w), float64(h)) / diagonal35, fSpread: spread}
}

// span is the greatest distance between two tags seen, mm.
func span(views []view) float64 {
	var far float64
	for i, a := range views {
		for _, b := range views[:i] {
			far = math.Max(far, r2.Norm(r2.Sub(a.mm[0], b.mm[0])))
		}
	}
	return far
}

// settle sets aside tags that do not lie flat with the rest, fits once more and
// fills in what the fit tells.
func (f Found) settle(views []view, pr prior) (Found, error) {
	for range 3 {
		flat, off := f.split(views)
		if len(off) == 0 || len(flat) < minTags {
			break
		}
		fit, err := fitCamera(matches(flat), pr)
		if err != nil {
			break
		}
		f.take(fit)
	}
	flat, off := f.split(views)
	if len(flat) < minTags || span(flat) < 0.25*r2.Norm(f.Layout.Paper) { // as above
		return f, ErrFewTags
	}
	f.TagsSeen, f.TagsOff = len(flat), len(off)
	f.flat, f.prior = flat, pr
	f.Residual = f.residual(flat)
	for _, v := range views {
		f.OffMM = math.Max(f.OffMM, f.tagError(v))
	}
	f.Sharp = f.sharpness(flat)
	return f, nil
}

func (f *Found) take(fit fitted) { f.Camera, f.lens, f.HeightU = fit.cam, fit.lens, fit.heightU }

// residual is the rms distance of the tags' corners from their place, mm.
func (f Found) residual(views []view) float64 {
	var sum float64
	for _, v := range views {
		e := f.tagError(v)
		sum += e * e
	}
	return math.Sqrt(sum / float64(len(views)))
}

// split tells tags that lie within their place from those that do not: beyond
// four times the median error, and by more than a quarter of a millimetre.
func (f Found) split(views []view) (flat, off []view) {
	errs := make([]float64, len(views))
	for i, v := range views {
		errs[i] = f.tagError(v)
	}
	// Off by four times the usual, and by more than a quarter of a pixel, which is as good as corners are: the paper is bent there. Our setting.
	limit := math.Max(0.25, 4*rank.Median(errs))
	for i, v := range views {
		if errs[i] <= limit {
			flat = append(flat, v)
		} else {
			off = append(off, v)
		}
	}
	return flat, off
}

// tagError is the rms distance of a tag's corners from their place, mm.
func (f Found) tagError(v view) float64 {
	var sum float64
	for k := range v.mm {
		d := r2.Sub(f.Camera.Unproject(v.px[k], 0), v.mm[k])
		sum += r2.Norm2(d)
	}
	return math.Sqrt(sum / 4)
}

// sharpness groups the steps by direction, because motion blurs one direction
// only, and reports the worse group.
func (f Found) sharpness(views []view) Sharpness {
	var s Sharpness
	var dark, light []float64
	const groups = 6
	widths := make([][]float64, groups)
	for _, v := range views {
		for _, e := range v.edges {
			// Neighbouring groups overlap, so that no direction falls between two.
			a := math.Mod(e.Angle+2*math.Pi, math.Pi) / math.Pi * groups
			widths[int(a)%groups] = append(widths[int(a)%groups], e.WidthPx)
			widths[int(a+0.5)%groups] = append(widths[int(a+0.5)%groups], e.WidthPx)
			dark, light = append(dark, e.Dark), append(light, e.Light)
		}
	}
	for _, w := range widths {
		if len(w) >= 4 {
			s.BlurPx = math.Max(s.BlurPx, rank.Median(w))
		}
	}
	centre := r2.Scale(0.5, r2.Add(f.Layout.Field.Min, f.Layout.Field.Max))
	s.BlurMM = s.BlurPx / f.Camera.PxPerMM(centre)
	if len(dark) > 0 {
		s.Dark, s.Light = rank.Median(dark), rank.Median(light)
	}
	return s
}
