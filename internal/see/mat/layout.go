// Package mat knows the printed calibrated mat: what lies where on it, and where it
// lies in a photo. It speaks millimetres in the mat frame (origin at the paper's
// top-left corner, x right, y down, paper landscape, tags upright) and pixels of
// the upright photo. It never looks at the pieces on the mat.
package mat

import (
	"image/color"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"

	"gonum.org/v1/gonum/spatial/r2"
)

// The rule every mat follows, in mm. A ring of white cells runs round the paper,
// a tag in the middle of each; inside it lies the field. On the edge mats the rulers
// and the bar lie outside the ring, nearer to the paper's edge than many printers
// print; on the margin mats they keep as far from it as the ring does, which moves the
// ring in on their two sides.
const (
	tagModules  = 8 // modules along a tag's black square, border included
	moduleMM    = 1.5
	cellMM      = 15.0
	ringInset   = 8.0  // paper edge to the ring of cells
	fieldInset  = 26.0 // paper edge to the field
	fieldRim    = fieldInset - ringInset
	patchMM     = 6.0
	barMM       = 100.0
	barY        = 4.5
	rulerInset  = 2.0  // paper edge to the base of a ruler
	rulerMargin = 10.0 // paper edge to a ruler's first tick
	marginMM    = 8.0  // paper edge to anything on a margin mat
	rulerBand   = 6.0  // a ruler's ticks and 1 mm of white, on a margin mat
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
	margin  bool
}

// sizes: A3 and A4 from ISO 216, Letter and Tabloid (11 x 17 in) from
// ANSI/ASME Y14.1. The ids of two mats never overlap.
var sizes = []size{
	{"a3", r2.Vec{X: 420, Y: 297}, [2]int{9, 6}, 0, false},
	{"a4", r2.Vec{X: 297, Y: 210}, [2]int{7, 5}, 40, false},
	{"letter", r2.Vec{X: 279.4, Y: 215.9}, [2]int{6, 5}, 80, false},
	{"tabloid", r2.Vec{X: 431.8, Y: 279.4}, [2]int{9, 6}, 120, false},
	{"a3" + marginName, r2.Vec{X: 420, Y: 297}, [2]int{9, 6}, 190, true},
	{"a4" + marginName, r2.Vec{X: 297, Y: 210}, [2]int{7, 5}, 160, true},
	{"letter" + marginName, r2.Vec{X: 279.4, Y: 215.9}, [2]int{6, 5}, 225, true},
	{"tabloid" + marginName, r2.Vec{X: 431.8, Y: 279.4}, [2]int{9, 6}, 250, true},
}

// marginName ends the names of the margin mats.
const marginName = "-margin"

// ToPrint is the mat for a paper size that any printer prints whole, or, with edge,
// the one whose rulers lie at the paper's edge and whose field is a little larger.
func ToPrint(size string, edge bool) (Layout, error) {
	if l, err := ByName(size); edge || err != nil || strings.HasSuffix(size, marginName) {
		return l, err
	}
	return ByName(size + marginName)
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
	return Layout{}, phrase.Wrong("mat-no-paper", strconv.Quote(name))
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
	ring := r2.NewBox(ringInset, ringInset, w-ringInset, h-ringInset)
	if s.margin {
		ring = r2.NewBox(marginMM+rulerBand, marginMM, w-marginMM, h-marginMM-capHalf-rulerBand)
	}
	xs := spread(ring.Min.X, ring.Max.X, s.tags[0])
	l := Layout{
		Name:       s.name,
		Paper:      s.paper,
		Field:      r2.NewBox(ring.Min.X+fieldRim, ring.Min.Y+fieldRim, ring.Max.X-fieldRim, ring.Max.Y-fieldRim),
		FieldColor: fieldColor,
		TagMM:      moduleMM * tagModules,
		ModuleMM:   moduleMM,
		CellMM:     cellMM,
		Tags:       tagRing(xs, spread(ring.Min.Y, ring.Max.Y, s.tags[1]), s.firstID),
		Patches:    patches(xs, ring.Min.Y),
	}
	ticks := h - rulerInset - tickTen
	if s.margin {
		ticks = ring.Max.Y + 1
		l.marginRulers(ring)
	} else {
		l.edgeRulers()
	}
	free := gaps(xs, l.Field.Max.Y+1, ticks-1)
	l.QR, l.Label, l.Notes = square(free[0].Center(), qrMM), free[1], free[2:]
	return l
}

// gaps returns the white places between neighbouring tags of the bottom side, clear
// of the tags' cells, from top to bottom.
func gaps(xs []float64, top, bottom float64) []r2.Box {
	var out []r2.Box
	for i := range xs[1:] {
		out = append(out, r2.NewBox(xs[i]+cellMM/2, top, xs[i+1]-cellMM/2, bottom))
	}
	return out
}

// spread places n tag centres evenly along a side of the ring.
func spread(from, to float64, n int) []float64 {
	first, last := from+cellMM/2, to-cellMM/2
	at := make([]float64, n)
	for i := range at {
		at[i] = first + (last-first)*float64(i)/float64(n-1)
	}
	return at
}

// tagRing walks the tags clockwise from the top-left corner.
func tagRing(xs, ys []float64, id int) []Tag {
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
func patches(xs []float64, top float64) []Patch {
	var out []Patch
	for i := range xs[1:] {
		mid := r2.Vec{X: (xs[i] + xs[i+1]) / 2, Y: top + cellMM/2}
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
