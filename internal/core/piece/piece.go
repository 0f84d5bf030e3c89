// Package piece holds what is known of a tray and of each piece on it: state,
// measures with their uncertainty, verdict and faults. Lengths are in mm, areas
// in mm², weights in g, angles in degrees; coordinates are in the mat frame
// (origin at the paper's top-left corner, x right, y down). Every U is an
// expanded uncertainty (k = 2, about 95 %). Everything that measures, judges,
// keeps and tells speaks of a piece in this one form; it knows no pixels, no
// database and no layout, and rounds nothing.
package piece

import (
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/solid"
	"netagauge/internal/core/uncertainty"
)

// State of a piece on the field.
type State string

const (
	Measured State = "measured"
	CutOff   State = "cut-off"
	Touching State = "touching"
	Glared   State = "glared"  // its edge is washed out by light or shadow
	Foreign  State = "foreign" // not a slice: a tool, a card, a hand
)

// Piece is anything lying on the field. Only a piece in state measured has
// measures and a verdict. A nil pointer is what is not known.
type Piece struct {
	Number  int          `json:"number"`
	State   State        `json:"state"`
	Reason  string       `json:"reason,omitempty"`
	Says    phrase.Text  `json:"reason_parts,omitempty"` // the same, for other languages
	Outline [][2]float64 `json:"outline_mm,omitempty"`
	Slices  int          `json:"slices,omitempty"` // seen in a row that overlaps; 0 where that is none, or cannot be counted

	// The measures, which files have by the names in the table Measures.
	Length, Width, Area         Value `json:"-"`
	Thickness, Weight           Value `json:"-"`
	Cover, Taper, Skew          Value `json:"-"` // a skew is not known where no parallelogram fits
	OverallLength, OverallWidth Value `json:"-"`
	KobaWidth                   Value `json:"-"`
	WedgeAlong, WedgeAcross     Value `json:"-"` // by how much it is thicker at one end, along one side

	WidthProfile  []float64           `json:"width_profile_mm,omitempty"`
	AxisDeg       float64             `json:"axis_deg"`
	WeightBudget  []uncertainty.Share `json:"weight_budget,omitempty"`
	RicePlacement *Placement          `json:"rice_placement,omitempty"`
	Seen          Seen                `json:"-"`
	Triangular    bool                `json:"triangular"` // cover is below the floor and the taper explains it
	Koba          *bool               `json:"koba,omitempty"`
	KobaLine      [][2]float64        `json:"koba_line_mm,omitempty"` // where it meets the face
	KobaBroken    *bool               `json:"koba_broken,omitempty"`
	WedgeAdvice   string              `json:"wedge_advice,omitempty"`
	WedgeSays     phrase.Text         `json:"wedge_advice_parts,omitempty"`
	ThicknessMap  *ThicknessMap       `json:"thickness_map,omitempty"`
	Verdict       Verdict             `json:"verdict,omitempty"`
	Faults        []Fault             `json:"faults,omitempty"`
}

// Set says in what state a piece is, and why it has no numbers: by the key of the
// words, empty for one that was measured.
func (p *Piece) Set(s State, why string, about ...float64) {
	p.State, p.Reason, p.Says = s, "", nil
	if why != "" {
		p.Says = phrase.Of(why, about...)
		p.Reason = phrase.English().Must(p.Says)
	}
}

// Why says why a piece has no numbers. What an older program kept is a sentence of
// its own; of that the state is said.
func (p Piece) Why() phrase.Text {
	if len(p.Says) > 0 {
		return p.Says
	}
	return phrase.Of("state-" + string(p.State))
}

// Placement is where the rice footprint lies at its best cover: its centre in
// the mat frame and its long side's direction in degrees from the x axis.
type Placement struct {
	CentreMM [2]float64 `json:"centre_mm"`
	AngleDeg float64    `json:"angle_deg"`
}

// Polygon is the outline, mm.
func (p Piece) Polygon() []r2.Vec {
	out := make([]r2.Vec, len(p.Outline))
	for i, q := range p.Outline {
		out[i] = r2.Vec{X: q[0], Y: q[1]}
	}
	return out
}

// Centre is the centre of its area or, of an outline without any, its Middle, mm.
func (p Piece) Centre() [2]float64 {
	outline := p.Polygon()
	if solid.Area(outline) < 1e-9 {
		return p.Middle()
	}
	c := solid.Centroid(outline)
	return [2]float64{c.X, c.Y}
}

// Middle is the middle of the outline's upright box, mm.
func (p Piece) Middle() [2]float64 {
	low, high := p.Box()
	return [2]float64{(low[0] + high[0]) / 2, (low[1] + high[1]) / 2}
}

// Box is the outline's upright box, mm; zero without an outline.
func (p Piece) Box() (low, high [2]float64) {
	if len(p.Outline) == 0 {
		return low, high
	}
	low, high = p.Outline[0], p.Outline[0]
	for _, q := range p.Outline {
		for i := range q {
			low[i], high[i] = min(low[i], q[i]), max(high[i], q[i])
		}
	}
	return low, high
}
