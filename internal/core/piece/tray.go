package piece

import (
	"fmt"
	"math"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/rank"
	"netagauge/internal/core/solid"
)

// Status of a photo: measured, or refused when no number can be trusted.
type Status string

const (
	TrayMeasured Status = "measured"
	TrayRefused  Status = "refused"
)

// Tray is the result of checking one photo of one tray.
type Tray struct {
	Photo    Photo     `json:"photo"`
	Status   Status    `json:"status"`
	Mat      *Mat      `json:"mat,omitempty"`
	Standard string    `json:"standard,omitempty"`
	Species  string    `json:"species,omitempty"`
	Facts    []Fact    `json:"rests_on,omitempty"` // what went in; a result from before has none
	Problems []Problem `json:"problems"`
	Pieces   []Piece   `json:"pieces"`
	Tally    *Tally    `json:"tray,omitempty"`
}

// Photo names the picture; the size is that of the upright photo.
type Photo struct {
	File     string `json:"file"`
	WidthPx  int    `json:"width_px"`
	HeightPx int    `json:"height_px"`
	Taken    string `json:"taken,omitempty"` // by the camera's clock, which tells no zone, as in clock; empty when not recorded
}

// clock is the time of a camera as EXIF has it, without a zone, in ISO 8601.
const clock = "2006-01-02T15:04:05"

// TakenOn says when the camera took the photo by its own clock; the zero time for
// a photo that does not tell.
func (p *Photo) TakenOn(t time.Time) {
	if !t.IsZero() {
		p.Taken = t.Format(clock)
	}
}

// TakenAt is when the photo was taken, by a camera whose clock goes by the zone;
// false where the photo does not tell.
func (p Photo) TakenAt(zone *time.Location) (time.Time, bool) {
	t, err := time.ParseInLocation(clock, p.Taken, zone)
	return t, err == nil
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
	PrintFrom      string  `json:"print_from,omitempty"` // key of what tells the print's scale; empty where it is taken as true
	PrintDay       string  `json:"print_day,omitempty"`  // of one that was verified
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

// ProblemError is a problem as an error: what it is, its code, and what to do.
type ProblemError struct{ Problem }

func (e ProblemError) Error() string { return fmt.Sprintf("%s (%s): %s", e.Message, e.Code, e.Remedy) }

// Unwrap is the same for every language; results of older programs have English only.
func (e ProblemError) Unwrap() error {
	says, cure := e.Says, e.Cure
	if says == nil {
		says, cure = phrase.Named("as-kept", e.Message), phrase.Named("as-kept", e.Remedy)
	}
	return &phrase.Error{Says: says.And(phrase.Of("problem-then"), cure)}
}

// Tally sums up the pieces of one photo.
type Tally struct {
	Measured     int           `json:"measured"`
	NotMeasured  int           `json:"not_measured"` // slices at the least
	Passed       int           `json:"passed"`
	Failed       int           `json:"failed"`
	Unsure       int           `json:"unsure"`
	MeanLength   float64       `json:"mean_length_mm"`
	SpreadLength float64       `json:"sd_length_mm"`
	MeanWidth    float64       `json:"mean_width_mm"`
	SpreadWidth  float64       `json:"sd_width_mm"`
	MeanWeight   *float64      `json:"mean_weight_g,omitempty"`
	MeanWeightU  float64       `json:"mean_weight_u_g,omitempty"`      // of an estimate
	Estimate     bool          `json:"mean_weight_estimate,omitempty"` // from what is told of the whole tray: no spread, no sum
	SpreadWeight *float64      `json:"sd_weight_g,omitempty"`
	TotalWeight  *float64      `json:"total_weight_g,omitempty"`
	Advice       []string      `json:"advice,omitempty"`
	Says         []phrase.Text `json:"advice_parts,omitempty"` // the same, for other languages
}

// MeasuredPieces returns the pieces that carry numbers, in their order.
func (t Tray) MeasuredPieces() []Piece {
	return t.those(func(p Piece) bool { return p.State == Measured })
}

// NotMeasured returns the slices that lie there and have no numbers.
func (t Tray) NotMeasured() []Piece {
	return t.those(func(p Piece) bool { return p.State != Measured && p.State != Foreign })
}

// Hidden is how many slices at least lie in a piece that was not measured, by its
// area against the usual one of those that were: a heap of touching slices is one
// piece. A row that overlaps holds those that are seen in it; else a piece that touches
// holds two at the least; in one that light has washed out the light itself takes up
// to a slice and a half.
func (t Tray) Hidden(p Piece) int {
	if p.Slices > 0 {
		return p.Slices
	}
	areas := Area.Values(t.Pieces)
	ratio := 0.0
	if len(areas) > 0 {
		ratio = solid.Area(p.Polygon()) / rank.Median(areas)
	}
	switch p.State {
	case Glared:
		return max(1, int(math.Round(ratio-1.5)))
	case Touching:
		return max(2, int(math.Round(ratio)))
	}
	return max(1, int(math.Round(ratio)))
}

func (t Tray) those(keep func(Piece) bool) []Piece {
	var out []Piece
	for _, p := range t.Pieces {
		if keep(p) {
			out = append(out, p)
		}
	}
	return out
}
