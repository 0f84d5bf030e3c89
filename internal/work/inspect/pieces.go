package inspect

import (
	"cmp"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/rank"
	"netagauge/internal/see/fan"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/shape"
)

// What a slice for nigiri can be, generously: outside these a thing on the
// field is something else. Our setting, no source.
const (
	longestSlice = 150.0 // mm
	widestSlice  = 75.0
	largestSlice = 5500.0           // mm²
	largestLit   = 2 * largestSlice // with the light on it that hides its edge
	slenderest   = 4.4              // length over width
	clearEdge    = 0.75
	softEdgeMM   = 1.5
	oneSlice     = 0.90 // area over hull below which two slices lie together
)

// kind tells a slice from what is not one, by how it is seen, and why.
func (s *scene) kind(p segment.Piece) (piece.State, string) {
	switch {
	case p.CutOff:
		return piece.CutOff, "why-off"
	case p.Lamp:
		return piece.Foreign, "why-lamp"
	}
	m, err := shape.Measure(shape.Outline(p.Outline))
	washed := p.Seen < clearEdge || p.SoftMM > softEdgeMM
	switch {
	case washed && err == nil && m.Area <= largestLit && m.OverallLength <= slenderest*m.OverallWidth:
		return piece.Glared, "why-washed-out"
	case washed:
		return piece.Foreign, "why-washed-out"
	case err != nil:
		return piece.Foreign, "why-outline"
	case s.isCard(p):
		return piece.Foreign, "why-card"
	case m.OverallLength > slenderest*m.OverallWidth:
		return piece.Foreign, "why-slender"
	case m.OverallLength > 2*widestSlice+longestSlice/2 || p.Solidity >= oneSlice && m.OverallLength > longestSlice:
		return piece.Foreign, "why-large"
	case p.Solidity < oneSlice || m.OverallWidth > widestSlice || m.Area > largestSlice:
		return piece.Touching, "why-touching"
	}
	return piece.Measured, ""
}

// widestSure is how wide a slice may be for it not to be looked at as a row. A row
// of three narrow ones is no wider than one slice may be.
const widestSure = 48.0 // mm

// widestNotched is how wide a thing may be for it still to be one slice where its
// outline turns inwards, as that of a bowed or wrinkled one does.
const widestNotched = 54.0 // mm

// count tells a row of slices, each on the last, from one thing too large, and how
// many there are.
func (s *scene) count(p *thing) {
	outline := shape.Outline(p.seen.Outline)
	large := outline.Area() > largestSlice
	axis := outline.LongAxis()
	wide := extent(outline, r2.Vec{X: -axis.Y, Y: axis.X})
	switch {
	case p.State == piece.Measured && wide < widestSure,
		p.State == piece.Foreign && (!large || p.seen.Seen < clearEdge || s.isCard(p.seen)),
		p.State == piece.CutOff, p.State == piece.Glared:
		return
	}
	n, sure := fan.Count(s.up.Light(), s.up.PxPerMM, outline)
	switch {
	case sure:
		p.Set(piece.Touching, "why-row", float64(n))
		p.Slices = n
	case n > 0 && p.State == piece.Foreign, p.State == piece.Touching && large,
		p.State == piece.Measured && wide > widestNotched && fan.Notched(outline):
		p.Set(piece.Touching, "why-uncounted")
	}
}

// isCard tells a card; what was seen is in true mm by now.
func (s *scene) isCard(p segment.Piece) bool {
	_, ok := cardScale(p, s.found)
	return ok
}

// number gives the pieces their numbers: rows from the top of the mat, left to
// right within a row. Pieces whose middles differ by less than half of their
// usual height lie in one row.
func number(pieces []*thing) {
	type spot struct {
		p      *thing
		c      r2.Vec
		height float64
	}
	spots := make([]spot, len(pieces))
	heights := make([]float64, len(pieces))
	for i, p := range pieces {
		b := shape.Outline(p.seen.Outline).Bounds()
		spots[i] = spot{p, r2.Scale(0.5, r2.Add(b.Min, b.Max)), b.Max.Y - b.Min.Y}
		heights[i] = spots[i].height
	}
	if len(pieces) == 0 {
		return
	}
	row := rank.Median(heights) / 2
	slices.SortFunc(spots, func(a, b spot) int { return cmp.Compare(a.c.Y, b.c.Y) })
	for i := 0; i < len(spots); {
		j := i + 1
		for j < len(spots) && spots[j].c.Y-spots[i].c.Y < row {
			j++
		}
		slices.SortFunc(spots[i:j], func(a, b spot) int { return cmp.Compare(a.c.X, b.c.X) })
		i = j
	}
	for i, s := range spots {
		s.p.Number = i + 1
		pieces[i] = s.p
	}
}

// each runs f on every piece, on as many cores as there are.
func each(pieces []*thing, f func(*thing)) {
	var wg sync.WaitGroup
	for _, p := range pieces {
		wg.Go(func() { f(p) })
	}
	wg.Wait()
}
