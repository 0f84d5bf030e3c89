package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/solid"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/see/shape"
)

// Slice is what cut Number frees: its face is that cut's. Length, width, taper
// and rice cover are those of its outline as it lies on the face, leaning walls
// and all, by the rules a photographed slice is measured by. Thickness is at the
// middle of the face, least and most at the corners of the outline, as two cuts
// that are not quite parallel leave it; WedgeAlong and WedgeAcross are by how
// much it differs from end to end and from side to side. Off names the faults
// that a check would find.
type Slice struct {
	Number         int      `json:"number"`
	Theta          float64  `json:"theta_deg"`
	Phi            float64  `json:"phi_deg"`
	Pitch          float64  `json:"pitch_mm"`
	Thickness      float64  `json:"thickness_mm"`
	ThicknessLeast float64  `json:"thickness_least_mm"`
	ThicknessMost  float64  `json:"thickness_most_mm"`
	Length         float64  `json:"length_mm"`
	Width          float64  `json:"width_mm"`
	Taper          float64  `json:"taper"`
	RiceCover      float64  `json:"rice_cover"`
	WedgeAlong     float64  `json:"wedge_along_mm"`
	WedgeAcross    float64  `json:"wedge_across_mm"`
	FaceArea       float64  `json:"face_area_mm2"`
	Volume         float64  `json:"volume_mm3"`
	Weight         float64  `json:"weight_g"`
	Sure           bool     `json:"sure"` // stands the scatter of a hand
	Off            []string `json:"off,omitempty"`

	outline shape.Outline
	shape   shape.Measures
}

// house is what the slices are held against.
type house struct {
	standard.Standard
	group   string
	density float64
	hand    Scatter
	rough   bool // while searching: outlines to 0.15 mm, the rice no farther than it needs
}

// closed is how far a hull may bridge a notch in the outline, mm, and bridged
// while searching.
const closed, bridged = 0.02, 0.15

// slice is what the cut c frees behind the last one; false where there is none
// that could be measured.
func (h house) slice(b Block, last, c plane) (s Slice, ok bool) {
	tol := closed
	if h.rough {
		tol = bridged
	}
	s = Slice{Theta: c.theta, Phi: c.phi, Pitch: (c.D - last.D) / c.N.X, outline: solid.Outline(b.slab(last, c), tol)}
	var err error
	if s.shape, err = shape.MeasureSimple(s.outline); err != nil {
		return s, false
	}
	s.Length, s.Width, s.Taper = s.shape.Length, s.shape.Width, s.shape.Taper
	s.Volume = b.massBefore(c).Minus(b.massBefore(last)).Volume
	s.Weight = h.density * s.Volume / 1000
	s.FaceArea = areaOf(b.slab(c, c))
	s.thickness(last, c)
	s.RiceCover = 1
	if s.Off = h.faults(s); len(s.Off) == 0 { // the rice is the dear part to look at
		s.RiceCover = h.cover(s)
		s.Off = h.faults(s)
	}
	s.Sure = h.stands(s)
	return s, true
}

// cover is the share of the rice that the slice covers; while searching, no more
// than a sure slice needs.
func (h house) cover(s Slice) float64 {
	const beyond = 0.005 // what is enough must not fail by rounding
	rice := shape.Footprint{Length: h.Rice.Length, Width: h.Rice.Width, CornerRadius: h.Rice.Corner}
	if enough := min(h.Rice.CoverFloor+coverRoom+beyond, 1); h.rough && shape.Covers(s.outline, s.shape, rice, enough) {
		return enough
	}
	share, _ := shape.Cover(s.outline, s.shape, rice)
	return share
}

// thickness sets the distances from the last cut to the face, which change
// straight across it.
func (s *Slice) thickness(last, c plane) {
	m := s.shape
	along, up := c.axes()
	slope := r2.Vec{X: r3.Dot(last.N, along), Y: r3.Dot(last.N, up)}
	at := func(p r2.Vec) float64 {
		return last.Beyond(r3.Add(r3.Scale(c.D, c.N), r3.Add(r3.Scale(p.X, along), r3.Scale(p.Y, up))))
	}
	s.Thickness = at(m.Centroid)
	s.ThicknessLeast, s.ThicknessMost = math.Inf(1), math.Inf(-1)
	for _, p := range s.outline {
		s.ThicknessLeast, s.ThicknessMost = min(s.ThicknessLeast, at(p)), max(s.ThicknessMost, at(p))
	}
	s.WedgeAlong = math.Abs(r2.Dot(slope, m.Axis)) * m.OverallLength
	s.WedgeAcross = math.Abs(r2.Cross(m.Axis, slope)) * m.OverallWidth
}

// Piece is the slice as a check would have measured it, without an error. The
// koba is left to the cook's hand: no plan shows it.
func (s Slice) Piece() piece.Piece {
	known := func(v float64) piece.Value { return piece.Value{X: v, Known: true} }
	koba := true
	return piece.Piece{Number: s.Number, State: piece.Measured, Koba: &koba, Length: known(s.Length), Width: known(s.Width), Weight: known(s.Weight),
		Cover: known(s.RiceCover), Taper: known(s.Taper), WedgeAlong: known(s.WedgeAlong), WedgeAcross: known(s.WedgeAcross)}
}

// faults are what a check of the slice would find, cut exactly so.
func (h house) faults(s Slice) []string {
	p := s.Piece()
	h.Judge(&p, h.group)
	var out []string
	for _, f := range p.Faults {
		out = append(out, f.What)
	}
	if max(s.WedgeAlong, s.WedgeAcross) > coach.WedgeMost {
		out = append(out, "wedge")
	}
	return out
}

// areaOf parts that do not overlap, mm².
func areaOf(parts [][]r2.Vec) (sum float64) {
	for _, p := range parts {
		sum += solid.Area(p)
	}
	return sum
}
