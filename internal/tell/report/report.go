// Package report holds the result of checking one tray photo and turns it into
// text, JSON, CSV, HTML and an annotated picture. Lengths are in mm, areas in
// mm², weights in g, angles in degrees; coordinates are in the mat frame
// (origin at the paper's top-left corner, x right, y down). Every number that
// ends in U is an expanded uncertainty (k = 2, about 95 %). This package rounds
// numbers for reading; nothing before it does. It never measures or judges.
package report

import (
	"math"

	"netagauge/internal/core/phrase"
)

// Status of a photo: measured, or refused when no number can be trusted.
type Status string

const (
	Measured Status = "measured"
	Refused  Status = "refused"
)

// State of a piece on the field.
type State string

const (
	PieceMeasured State = "measured"
	PieceCutOff   State = "cut-off"
	PieceTouching State = "touching"
	PieceForeign  State = "foreign"
)

// Verdict on a measured piece.
type Verdict string

const (
	Pass   Verdict = "pass"
	Fail   Verdict = "fail"
	Unsure Verdict = "unsure"
)

// Report is the result of checking one photo of one tray.
type Report struct {
	Photo    Photo     `json:"photo"`
	Status   Status    `json:"status"`
	Mat      *Mat      `json:"mat,omitempty"`
	Standard string    `json:"standard,omitempty"`
	Species  string    `json:"species,omitempty"`
	Problems []Problem `json:"problems"`
	Pieces   []Piece   `json:"pieces"`
	Tray     *Tray     `json:"tray,omitempty"`
}

// Photo names the picture; the size is that of the upright photo.
type Photo struct {
	File     string `json:"file"`
	WidthPx  int    `json:"width_px"`
	HeightPx int    `json:"height_px"`
}

// Mat says how the printed mat was seen.
type Mat struct {
	Name           string  `json:"name"`
	TagsSeen       int     `json:"tags_seen"`
	TagsTotal      int     `json:"tags_total"`
	ResidualMM     float64 `json:"residual_mm"`
	PxPerMM        float64 `json:"px_per_mm"`
	TiltDeg        float64 `json:"tilt_deg"`
	CameraHeightMM float64 `json:"camera_height_mm"`
	PrintScale     float64 `json:"print_scale"`
	Label          string  `json:"label,omitempty"`
}

// Problem is something about the photo that the person should know. The code
// is one of design's closed list; the remedy says what to do.
type Problem struct {
	Code    string      `json:"code"`
	Message string      `json:"message"`
	Remedy  string      `json:"remedy"`
	Says    phrase.Text `json:"message_parts,omitempty"` // the same, for other languages
	Cure    phrase.Text `json:"remedy_parts,omitempty"`
}

// NewProblem has its English words.
func NewProblem(code string, says, cure phrase.Text) Problem {
	return Problem{code, phrase.English().Must(says), phrase.English().Must(cure), says, cure}
}

// Piece is anything lying on the field. Only a piece in state measured has
// numbers and a verdict; a nil pointer is a number that is not known.
type Piece struct {
	Number        int           `json:"number"`
	State         State         `json:"state"`
	Reason        string        `json:"reason,omitempty"`
	Outline       [][2]float64  `json:"outline_mm,omitempty"`
	Length        float64       `json:"length_mm,omitempty"`
	LengthU       float64       `json:"length_u_mm,omitempty"`
	Width         float64       `json:"width_mm,omitempty"`
	WidthU        float64       `json:"width_u_mm,omitempty"`
	OverallLength float64       `json:"overall_length_mm,omitempty"`
	OverallWidth  float64       `json:"overall_width_mm,omitempty"`
	WidthProfile  []float64     `json:"width_profile_mm,omitempty"`
	AxisDeg       float64       `json:"axis_deg"`
	Area          float64       `json:"area_mm2,omitempty"`
	AreaU         float64       `json:"area_u_mm2,omitempty"`
	Taper         float64       `json:"taper"`
	Thickness     *float64      `json:"thickness_mm,omitempty"`
	ThicknessU    *float64      `json:"thickness_u_mm,omitempty"`
	ThicknessFrom string        `json:"thickness_source,omitempty"`
	Weight        *float64      `json:"weight_g,omitempty"`
	WeightU       *float64      `json:"weight_u_g,omitempty"`
	WeightBudget  []Share       `json:"weight_budget,omitempty"`
	RiceCover     float64       `json:"rice_cover"`
	RiceCoverU    float64       `json:"rice_cover_u,omitempty"`
	RicePlacement *Placement    `json:"rice_placement,omitempty"`
	Triangular    bool          `json:"triangular"`
	Koba          *bool         `json:"koba,omitempty"`
	KobaWidth     *float64      `json:"koba_width_mm,omitempty"`
	KobaWidthU    *float64      `json:"koba_width_u_mm,omitempty"`
	KobaLine      [][2]float64  `json:"koba_line_mm,omitempty"` // where it meets the face
	KobaBroken    *bool         `json:"koba_broken,omitempty"`
	WedgeAlong    *float64      `json:"wedge_along_mm,omitempty"`
	WedgeAlongU   *float64      `json:"wedge_along_u_mm,omitempty"`
	WedgeAcross   *float64      `json:"wedge_across_mm,omitempty"`
	WedgeAcrossU  *float64      `json:"wedge_across_u_mm,omitempty"`
	WedgeAdvice   string        `json:"wedge_advice,omitempty"`
	WedgeSays     phrase.Text   `json:"wedge_advice_parts,omitempty"`
	ThicknessMap  *ThicknessMap `json:"thickness_map,omitempty"`
	Verdict       Verdict       `json:"verdict,omitempty"`
	Faults        []Fault       `json:"faults,omitempty"`
}

// ThicknessMap is a slice's thickness all over, in cells whose rows run along
// its long axis: the centre of the first cell and the steps to the next one along
// and across, in the mat frame; nil where the cell does not lie on the slice.
type ThicknessMap struct {
	First     [2]float64   `json:"first_mm"`
	Along     [2]float64   `json:"along_mm"`
	Across    [2]float64   `json:"across_mm"`
	Thickness [][]*float64 `json:"thickness_mm"`
}

// Placement is where the rice footprint lies at its best cover: its centre in
// the mat frame and its long side's direction in degrees from the x axis.
type Placement struct {
	CentreMM [2]float64 `json:"centre_mm"`
	AngleDeg float64    `json:"angle_deg"`
}

// Share is one part of an uncertainty budget: how much of the variance of the
// result comes from one input, 0 to 1, and what would shrink it.
type Share struct {
	Source string  `json:"source"`
	U      float64 `json:"u"`
	Part   float64 `json:"part"`
	Remedy string  `json:"remedy,omitempty"`
}

// Fault is one measure outside the house standard. Low and High are the
// standard's limits in the unit of the measure; a limit that does not exist is
// nil. Unsure marks a value whose interval straddles the limit.
type Fault struct {
	What     string      `json:"what"`
	Measured float64     `json:"measured"`
	Low      *float64    `json:"low,omitempty"`
	High     *float64    `json:"high,omitempty"`
	Unsure   bool        `json:"unsure,omitempty"`
	Advice   string      `json:"advice,omitempty"`
	Says     phrase.Text `json:"advice_parts,omitempty"` // the same, for other languages
}

// Tray sums up the measured pieces of one photo.
type Tray struct {
	Measured     int           `json:"measured"`
	Passed       int           `json:"passed"`
	Failed       int           `json:"failed"`
	Unsure       int           `json:"unsure"`
	MeanLength   float64       `json:"mean_length_mm"`
	SpreadLength float64       `json:"sd_length_mm"`
	MeanWidth    float64       `json:"mean_width_mm"`
	SpreadWidth  float64       `json:"sd_width_mm"`
	MeanWeight   *float64      `json:"mean_weight_g,omitempty"`
	SpreadWeight *float64      `json:"sd_weight_g,omitempty"`
	TotalWeight  *float64      `json:"total_weight_g,omitempty"`
	Advice       []string      `json:"advice,omitempty"`
	Says         []phrase.Text `json:"advice_parts,omitempty"` // the same, for other languages
}

// MeasuredPieces returns the pieces that carry numbers, in their order.
func (r Report) MeasuredPieces() []Piece {
	var out []Piece
	for _, p := range r.Pieces {
		if p.State == PieceMeasured {
			out = append(out, p)
		}
	}
	return out
}

// finite reports whether v is an ordinary number.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
