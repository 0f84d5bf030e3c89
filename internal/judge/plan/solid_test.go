package plan

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// An independent solid: the block as convex polyhedra, one for each stretch
// between stations, each a list of flat faces. Cutting is Sutherland-Hodgman
// clipping of every face by the plane; the cap is what the plane leaves open;
// the volume is the sum of tetrahedra over the faces (divergence theorem).
// Nothing here is shared with the planner but the stations and each cut's
// angles and place.
type polyhedron [][]r3.Vec

func polyhedra(stations []Station) []polyhedron {
	var out []polyhedron
	for i := 1; i < len(stations); i++ {
		a, b := stations[i-1], stations[i]
		p := func(s Station, far, top bool) r3.Vec {
			v := r3.Vec{X: s.X, Y: s.Near}
			if far {
				v.Y = s.Far
			}
			if top {
				v.Z = s.Height
			}
			return v
		}
		ring := func(s Station) [4]r3.Vec {
			return [4]r3.Vec{p(s, false, false), p(s, true, false), p(s, true, true), p(s, false, true)}
		}
		ra, rb := ring(a), ring(b)
		solid := polyhedron{{ra[0], ra[3], ra[2], ra[1]}, rb[:]}
		for k := range 4 {
			n := (k + 1) % 4
			solid = append(solid, []r3.Vec{ra[k], ra[n], rb[n], rb[k]})
		}
		out = append(out, solid)
	}
	return out
}

// blade is a plane built from the angles as the package describes them, by two
// directions within it and their cross product.
type blade struct{ normal, along, up, through r3.Vec }

func newBlade(c Cut, b Block) blade {
	t, f := c.Theta*math.Pi/180, c.Phi*math.Pi/180
	along := r3.Vec{X: -math.Cos(t), Y: math.Sin(t)}
	into := r3.Vec{X: math.Sin(t), Y: math.Cos(t)}
	up := r3.Add(r3.Scale(math.Cos(f), into), r3.Vec{Z: math.Sin(f)})
	normal := r3.Cross(along, up)
	if normal.X < 0 {
		normal = r3.Scale(-1, normal)
	}
	near := b.Section(c.BoardNear)
	return blade{normal, along, up, r3.Vec{X: c.BoardNear, Y: near.Near}}
}

func (c blade) side(p r3.Vec) float64 { return r3.Dot(c.normal, r3.Sub(p, c.through)) }

// before keeps the part of the solid on the start's side and returns the cap.
func (s polyhedron) clip(c blade, before bool) (kept polyhedron, lid []r3.Vec) {
	sign := 1.0
	if !before {
		sign = -1
	}
	for _, face := range s {
		var out []r3.Vec
		for i, p := range face {
			q := face[(i+1)%len(face)]
			a, b := sign*c.side(p), sign*c.side(q)
			if a <= 0 {
				out = append(out, p)
			}
			if a < 0 && b > 0 || a > 0 && b < 0 {
				x := r3.Add(p, r3.Scale(a/(a-b), r3.Sub(q, p)))
				out = append(out, x)
				lid = append(lid, x)
			}
			if a == 0 {
				lid = append(lid, p)
			}
		}
		if len(out) >= 3 {
			kept = append(kept, out)
		}
	}
	lid = c.round(lid)
	if len(lid) >= 3 {
		kept = append(kept, lid)
	}
	return kept, lid
}

// round puts the points of a convex cap in order about their middle.
func (c blade) round(ps []r3.Vec) []r3.Vec {
	var mid r3.Vec
	for _, p := range ps {
		mid = r3.Add(mid, r3.Scale(1/float64(len(ps)), p))
	}
	angle := func(p r3.Vec) float64 {
		d := r3.Sub(p, mid)
		return math.Atan2(r3.Dot(d, c.up), r3.Dot(d, c.along))
	}
	slices.SortFunc(ps, func(p, q r3.Vec) int {
		if angle(p) < angle(q) {
			return -1
		}
		return 1
	})
	return ps
}

// volume sums tetrahedra from an inner point, so that the faces' direction of
// travel does not matter: the solid is convex.
func (s polyhedron) volume() float64 {
	var inner r3.Vec
	var n float64
	for _, face := range s {
		for _, p := range face {
			inner = r3.Add(inner, p)
			n++
		}
	}
	inner = r3.Scale(1/n, inner)
	var v float64
	for _, face := range s {
		for i := 1; i+1 < len(face); i++ {
			a, b, c := r3.Sub(face[0], inner), r3.Sub(face[i], inner), r3.Sub(face[i+1], inner)
			v += math.Abs(r3.Dot(a, r3.Cross(b, c))) / 6
		}
	}
	return v
}

// between cuts the block by two blades: the volume between, mm³, the pieces of
// the second blade's face, and all flat faces of the slice.
func between(solids []polyhedron, first, second blade) (volume float64, face, skin [][]r3.Vec) {
	for _, s := range solids {
		slab, lid := s.clip(second, true)
		if len(lid) >= 3 {
			face = append(face, lid)
		}
		slab, _ = slab.clip(first, false)
		if len(slab) >= 4 {
			volume += slab.volume()
			skin = append(skin, slab...)
		}
	}
	return volume, face, skin
}

// measure looks straight on to the blade's face at convex pieces: a face's own
// pieces, or all of a slice's skin, whose shadows together are the slice's
// outline as it lies. It finds the direction of the least caliper width by
// trying every tenth of a degree, then every thousandth about the best, then
// the median chords along and across it over the middle half, each chord as
// much of a line as lies within any piece.
func measure(skin [][]r3.Vec, c blade) (length, width float64) {
	type pt struct{ a, b float64 }
	var pieces [][]pt
	for _, piece := range skin {
		var out []pt
		for _, p := range piece {
			out = append(out, pt{r3.Dot(p, c.along), r3.Dot(p, c.up)})
		}
		pieces = append(pieces, out)
	}
	extent := func(dir float64) (lo, hi float64) {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, piece := range pieces {
			for _, p := range piece {
				v := p.a*math.Cos(dir) + p.b*math.Sin(dir)
				lo, hi = min(lo, v), max(hi, v)
			}
		}
		return lo, hi
	}
	best, least := 0.0, math.Inf(1)
	try := func(dir float64) {
		if lo, hi := extent(dir); hi-lo < least {
			best, least = dir, hi-lo
		}
	}
	for i := range 1800 {
		try(float64(i) * math.Pi / 1800)
	}
	for i, about := -100, best; i <= 100; i++ {
		try(about + float64(i)*math.Pi/180000)
	}
	median := func(across float64) float64 {
		lo, hi := extent(across)
		var chords []float64
		for i := range 1001 {
			at := lo + (hi-lo)*(0.25+0.5*float64(i)/1000)
			var spans [][2]float64
			for _, piece := range pieces {
				from, to := math.Inf(1), math.Inf(-1)
				for k, p := range piece {
					q := piece[(k+1)%len(piece)]
					u := p.a*math.Cos(across) + p.b*math.Sin(across) - at
					v := q.a*math.Cos(across) + q.b*math.Sin(across) - at
					if u*v <= 0 && u != v {
						f := u / (u - v)
						x := -(p.a+f*(q.a-p.a))*math.Sin(across) + (p.b+f*(q.b-p.b))*math.Cos(across)
						from, to = min(from, x), max(to, x)
					}
				}
				if to > from {
					spans = append(spans, [2]float64{from, to})
				}
			}
			slices.SortFunc(spans, func(s, t [2]float64) int { return cmp.Compare(s[0], t[0]) })
			sum, end := 0.0, math.Inf(-1)
			for _, s := range spans {
				if s[1] > end {
					sum += s[1] - max(s[0], end)
					end = s[1]
				}
			}
			chords = append(chords, sum)
		}
		slices.Sort(chords)
		return chords[500]
	}
	return median(best), median(best + math.Pi/2)
}
