// Package segment finds the pieces lying on the mat's field and traces each
// piece's outline as the photo shows it, projected on the mat plane, in mm of
// the mat frame (x right, y down). It looks at colours and edges; it does not
// know thickness, so it does not correct for height, and it does not measure.
package segment

import (
	"cmp"
	"image"
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/rank"
	"netagauge/internal/core/solid"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// Piece is one thing lying on the field.
type Piece struct {
	Outline  []r2.Vec // closed, as seen in the photo, on the mat plane, mm
	Lamp     bool     // nothing but a lamp's mirror image
	CutOff   bool     // runs off the field, or off the photo
	Seen     float64  // share of the outline where a clear edge was seen, 0 to 1
	SoftMM   float64  // median rise of the edge from mat to piece, mm
	RoughMM  float64  // how far its places lie off a smooth outline, mm, one standard deviation
	Solidity float64  // area over the area of the convex hull
	Walls    []Wall   // its sides, the longest first
}

// Result is what lies on the field.
type Result struct {
	Pieces     []Piece
	GlareMM2   float64 // field washed out by a reflection, mm²
	Colourless bool    // the field has no colour of its own, so pale or dark fish may be missed
}

// smallestMM2 is the least area that counts as a piece: below it lie crumbs,
// drops and scraps that no one lays on rice.
const smallestMM2 = 150

// maxSmooth bounds how much a dark photo's noise is averaged away before the
// pieces are looked for, pixels of the upright mat.
const maxSmooth = 3

// Find turns the photo into the upright mat and traces every piece on its field.
func Find(photo *image.YCbCr, f mat.Found) (Result, Upright, error) {
	var up Upright
	var upErr error
	var wg sync.WaitGroup
	wg.Go(func() { up, upErr = rectify(photo, f) })
	pl, err := look(photo, f)
	wg.Wait()
	if err = cmp.Or(err, upErr); err != nil {
		return Result{}, up, err
	}
	res, err := pl.find(up, f)
	return res, up, err
}

// find traces every piece of the upright mat.
func (pl *planes) find(up Upright, f mat.Found) (Result, error) {
	area := up.rect(f.Layout.Field).Inset(fieldInset)
	ground, bare, err := groundOf(crop(up.Picture, area), pl, up)
	if err != nil {
		return Result{}, err
	}
	res := Result{Colourless: bare.gray(), GlareMM2: glare(crop(up.Picture, area), bare) / (up.PxPerMM * up.PxPerMM)}
	t := newTracer(pl, f, bare, up, area)
	t.paper = paperOf(up.Picture, area)
	whole := area.Inset(-int(marginMM * up.PxPerMM)).Intersect(up.Picture.Rect)
	sr := search{t: t, up: up, ground: ground, area: area, whole: whole}
	slices, err := sr.slices()
	res.Pieces = make([]Piece, len(slices))
	var wg sync.WaitGroup
	for i, c := range slices {
		wg.Go(func() {
			o := c.outline
			switch {
			case c.lamp, c.washed:
				res.Pieces[i] = Piece{Outline: evened(o), Lamp: c.lamp}
			case sr.atEdge(o) || t.offPhoto(o) || t.leavesField(o):
				res.Pieces[i] = Piece{Outline: evened(o), CutOff: true}
			default:
				res.Pieces[i] = t.piece(o, c.wet)
			}
		})
	}
	wg.Wait()
	byTray(res.Pieces)
	return res, err
}

// fieldInset keeps the search off the field's printed edge, pixels.
const fieldInset = 2

// groundOf readies the upright field for the search and learns its bare colour:
// brightness is smeared as far as colour is, and noise is averaged away.
func groundOf(ground *image.YCbCr, pl *planes, up Upright) (*image.YCbCr, *field, error) {
	if pl.smear > 0 {
		even, err := vision.Blur(lightOf(ground), pl.smear*up.PxPerMM)
		if err != nil {
			return nil, nil, err
		}
		ground = withLight(ground, even)
	}
	bare := learn(ground)
	for radius := 1; bare.noisy() && radius <= maxSmooth; radius++ {
		smoothed, err := vision.Smooth(ground, radius)
		if err != nil {
			return nil, nil, err
		}
		bare, ground = learn(smoothed), smoothed
	}
	return ground, bare, nil
}

// evened is the outline of a piece that is named and not measured.
func evened(outline []r2.Vec) []r2.Vec { return smooth(resample(outline, 2*stepMM), 2) }

// piece traces one contour of the mask.
func (t *tracer) piece(outline, wet []r2.Vec) Piece {
	pts := t.trace(outline, wet)
	var p Piece
	seen := 0
	var soft []float64
	for _, q := range pts {
		p.Outline = append(p.Outline, q.at)
		if q.found {
			seen++
			if !math.IsNaN(q.rise) {
				soft = append(soft, q.rise)
			}
		}
	}
	p.Seen = float64(seen) / float64(len(pts))
	p.SoftMM = t.reach // no edge can be told softer
	if len(soft) > 0 {
		p.SoftMM = rank.Median(soft)
	}
	p.RoughMM = rough(p.Outline)
	for _, side := range sidesOf(p.Outline) {
		w := t.wall(side)
		if w.Dark = math.NaN(); t.tellsDark() {
			w.Dark = -side.lit(pts)
		}
		p.Walls = append(p.Walls, w)
	}
	p.Solidity = solid.Area(p.Outline) / solid.Area(solid.Hull(p.Outline))
	return p
}

// offPhoto reports whether an outline leaves the photo's frame.
func (t *tracer) offPhoto(outline []r2.Vec) bool {
	const rim = 4 // px, for the profiles across the outline
	w, h := float64(t.photo.Rect.Dx()-rim), float64(t.photo.Rect.Dy()-rim)
	for _, p := range outline {
		if q := t.cam.Project(p, 0); q.X < rim || q.Y < rim || q.X > w || q.Y > h {
			return true
		}
	}
	return false
}

// glare counts pixels far brighter than bare mat and burnt out to white.
func glare(p *image.YCbCr, f *field) float64 {
	n := 0
	for y := 0; y < f.h; y += 2 {
		for x := 0; x < f.w; x += 2 {
			i := y*p.YStride + x
			if p.Y[i] >= 250 && math.Abs(float64(p.Cb[i])-128) < 6 && math.Abs(float64(p.Cr[i])-128) < 6 {
				n++
			}
		}
	}
	return float64(4 * n)
}
