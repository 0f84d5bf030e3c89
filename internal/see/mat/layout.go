// Package mat knows the printed calibrated mat: what lies where on it, and where it
// lies in a photo. It speaks millimetres in the mat frame (origin at the paper's
// top-left corner, x right, y down, paper landscape, tags upright) and pixels of
// the upright photo. It never looks at the pieces on the mat.
package mat

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// The rule every mat follows, in mm. A ring of white cells runs round the paper,
// a tag in the middle of each; inside it lies the field.
const (
	tagModules  = 8 // modules along a tag's black square, border included
	moduleMM    = 1.5
	cellMM      = 15.0
	ringInset   = 8.0  // paper edge to the ring of cells
	fieldInset  = 26.0 // paper edge to the field
	patchMM     = 6.0
	barMM       = 100.0
	barY        = 4.5
	rulerInset  = 2.0  // paper edge to the base of a ruler
	rulerMargin = 10.0 // paper edge to a ruler's first tick
	qrMM        = 15.0
)

var (
	// fieldColor is blue because no fish is.
	fieldColor = color.RGBA{R: 38, G: 98, B: 168, A: 255}
	patchGrays = [...]uint8{230, 180, 128, 80}
)

// Layout is one printed mat: what lies where, in mm from the paper's top-left
// corner, x right, y down, the paper landscape and the tags upright.
type Layout struct {
	Name       string
	Paper      r2.Vec // width and height
	Field      r2.Box // where pieces lie
	FieldColor color.RGBA
	TagMM      float64 // side of a tag's black square
	ModuleMM   float64
	CellMM     float64 // side of the white square round a tag
	Tags       []Tag   // clockwise from the top-left one
	Patches    []Patch
	Rulers     []Ruler
	CheckBar   CheckBar
	QR         r2.Box   // where a labelled mat carries its QR code
	Label      r2.Box   // where it carries the label in words
	Notes      []r2.Box // white places left along the bottom side
}

// View is the part of the mat that is shown as a picture of the slices: the field
// and as much of its rim that a slice reaching over it is seen whole.
func (l Layout) View() r2.Box {
	rim := r2.Vec{X: viewRim, Y: viewRim}
	return r2.Box{Min: r2.Sub(l.Field.Min, rim), Max: r2.Add(l.Field.Max, rim)}
}

const viewRim = 3.0 // mm; the white cells of the tags begin 3 mm from the field

// Tag is one AprilTag of the family tag36h11. Corners are those of its black
// square: top-left, top-right, bottom-right, bottom-left.
type Tag struct {
	ID      int
	Corners [4]r2.Vec
	Modules [tagModules]string // rows from the top, '1' is white
}

// Patch is a gray square to judge exposure by; Gray is its sRGB value.
type Patch struct {
	Box  r2.Box
	Gray uint8
}

// Ruler has a tick at every whole millimetre from From to To, along its base;
// the ticks grow in the direction Grow.
type Ruler struct{ From, To, Grow r2.Vec }

// CheckBar is the bar a person measures to see whether the printer kept the
// scale: From and To are the outer edges of its end caps.
type CheckBar struct{ From, To r2.Vec }

// size is what tells the mats apart; tags counts the tags along the long and
// short sides, corners in both.
type size struct {
	name    string
	paper   r2.Vec
	tags    [2]int
	firstID int
}

// sizes: A3 and A4 from ISO 216, Letter and Tabloid (11 x 17 in) from
// ANSI/ASME Y14.1. The ids of two mats never overlap.
var sizes = []size{
	{"a3", r2.Vec{X: 420, Y: 297}, [2]int{9, 6}, 0},
	{"a4", r2.Vec{X: 297, Y: 210}, [2]int{7, 5}, 40},
	{"letter", r2.Vec{X: 279.4, Y: 215.9}, [2]int{6, 5}, 80},
	{"tabloid", r2.Vec{X: 431.8, Y: 279.4}, [2]int{9, 6}, 120},
}

// Layouts returns every mat the program prints and knows.
func Layouts() []Layout {
	all := make([]Layout, len(sizes))
	for i, s := range sizes {
		all[i] = s.layout()
	}
	return all
}

// ByName returns the mat for a paper size.
func ByName(name string) (Layout, error) {
	for _, s := range sizes {
		if s.name == name {
			return s.layout(), nil
		}
	}
	return Layout{}, fmt.Errorf("there is no mat for paper %q: choose a3, a4, letter or tabloid", name)
}

// ByTag returns the mat that carries the tag.
func ByTag(id int) (Layout, bool) {
	for _, s := range sizes {
		if id >= s.firstID && id < s.firstID+s.count() {
			return s.layout(), true
		}
	}
	return Layout{}, false
}

func (s size) count() int { return 2*(s.tags[0]+s.tags[1]) - 4 }

func (s size) layout() Layout {
	w, h := s.paper.X, s.paper.Y
	xs := spread(w, s.tags[0])
	free := gaps(xs, h)
	return Layout{
		Name:       s.name,
		Paper:      s.paper,
		Field:      r2.NewBox(fieldInset, fieldInset, w-fieldInset, h-fieldInset),
		FieldColor: fieldColor,
		TagMM:      moduleMM * tagModules,
		ModuleMM:   moduleMM,
		CellMM:     cellMM,
		Tags:       ring(xs, spread(h, s.tags[1]), s.firstID),
		Patches:    patches(xs),
		Rulers: []Ruler{
			{From: r2.Vec{X: rulerMargin, Y: h - rulerInset}, To: r2.Vec{X: w - rulerMargin, Y: h - rulerInset}, Grow: r2.Vec{Y: -1}},
			{From: r2.Vec{X: rulerInset, Y: rulerMargin}, To: r2.Vec{X: rulerInset, Y: h - rulerMargin}, Grow: r2.Vec{X: 1}},
		},
		CheckBar: CheckBar{From: r2.Vec{X: (w - barMM) / 2, Y: barY}, To: r2.Vec{X: (w + barMM) / 2, Y: barY}},
		QR:       square(free[0].Center(), qrMM),
		Label:    free[1],
		Notes:    free[2:],
	}
}

// gaps returns the white places between neighbouring tags of the bottom side,
// clear of the tags' cells and 1 mm clear of the field and the ruler's ticks.
func gaps(xs []float64, paperHeight float64) []r2.Box {
	top, bottom := paperHeight-fieldInset+1, paperHeight-rulerInset-tickTen-1
	var out []r2.Box
	for i := range xs[1:] {
		out = append(out, r2.NewBox(xs[i]+cellMM/2, top, xs[i+1]-cellMM/2, bottom))
	}
	return out
}

// spread places n tag centres evenly along a side of the paper.
func spread(side float64, n int) []float64 {
	first, last := ringInset+cellMM/2, side-ringInset-cellMM/2
	at := make([]float64, n)
	for i := range at {
		at[i] = first + (last-first)*float64(i)/float64(n-1)
	}
	return at
}

// ring walks the tags clockwise from the top-left corner.
func ring(xs, ys []float64, id int) []Tag {
	var tags []Tag
	add := func(x, y float64) {
		box := square(r2.Vec{X: x, Y: y}, moduleMM*tagModules)
		tags = append(tags, Tag{ID: id, Corners: corners(box), Modules: modules(id)})
		id++
	}
	right, bottom := len(xs)-1, len(ys)-1
	for _, x := range xs {
		add(x, ys[0])
	}
	for _, y := range ys[1:] {
		add(xs[right], y)
	}
	for i := right - 1; i >= 0; i-- {
		add(xs[i], ys[bottom])
	}
	for i := bottom - 1; i > 0; i-- {
		add(xs[0], ys[i])
	}
	return tags
}

// patches puts a gray square midway between every two tags of the top side.
func patches(xs []float64) []Patch {
	var out []Patch
	for i := range xs[1:] {
		mid := r2.Vec{X: (xs[i] + xs[i+1]) / 2, Y: ringInset + cellMM/2}
		out = append(out, Patch{square(mid, patchMM), patchGrays[i%len(patchGrays)]})
	}
	return out
}

func square(centre r2.Vec, side float64) r2.Box {
	half := r2.Vec{X: side / 2, Y: side / 2}
	return r2.Box{Min: r2.Sub(centre, half), Max: r2.Add(centre, half)}
}

func corners(b r2.Box) [4]r2.Vec {
	return [4]r2.Vec{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

// Lengths of a ruler's ticks at 1, 5 and 10 mm, and their thickness, in mm.
const (
	tickOne  = 2.0
	tickFive = 3.5
	tickTen  = 5.0
	tickWide = 0.15
)

// Ticks returns the ruler's ticks as filled boxes, each centred on a whole
// millimetre of the mat frame.
func (r Ruler) Ticks() []r2.Box {
	along := r2.Unit(r2.Sub(r.To, r.From))
	n := int(math.Floor(r2.Norm(r2.Sub(r.To, r.From))))
	first := int(math.Round(r2.Dot(along, r.From)))
	ticks := make([]r2.Box, 0, n+1)
	for i := 0; i <= n; i++ {
		base := r2.Add(r.From, r2.Scale(float64(i), along))
		tip := r2.Add(base, r2.Scale(tickLength(first+i), r.Grow))
		side := r2.Scale(tickWide/2, along)
		a, b := r2.Sub(base, side), r2.Add(tip, side)
		ticks = append(ticks, r2.NewBox(a.X, a.Y, b.X, b.Y))
	}
	return ticks
}

func tickLength(mm int) float64 {
	switch {
	case mm%10 == 0:
		return tickTen
	case mm%5 == 0:
		return tickFive
	}
	return tickOne
}
