// Package trial holds what the program states against photos whose truth is known
// exactly: for every slice and measure by how much it was off and how wide the
// interval is. Lengths are in mm, areas in mm², weights in g.
package trial

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/shape"
)

// truth is a scene as it was made.
type truth struct {
	Slices []Slice `json:"slices"`
}

// truthEnd ends the name of the truth of a photo.
const truthEnd = ".truth.json"

// Slice is one of its slices: the outline as seen from straight above, mm in the
// mat frame, thickness (volume by the area of the face), mass and lay angle.
type Slice struct {
	Outline   [][2]float64 `json:"plan_outline_mm"`
	Thickness float64      `json:"mean_thickness_mm"`
	Mass      float64      `json:"mass_g"`
	Density   float64      `json:"density_g_cm3"`
	LayAngle  float64      `json:"knife_angle_deg"`
	Touches   *int         `json:"touches"`
	Overlaps  *int         `json:"overlaps_on_top_of"`
	Over      any          `json:"over_field_edge"`

	size shape.Size
	mid  r2.Vec
}

// What a cook would write down of it.
func (s Slice) thickness() string { return strconv.FormatFloat(s.Thickness, 'f', 2, 64) }
func (s Slice) layAngle() string  { return strconv.FormatFloat(s.LayAngle, 'f', 0, 64) }

func readTruth(name string) (truth, error) {
	var t truth
	text, err := os.ReadFile(name)
	if err != nil {
		return t, fmt.Errorf("read the truth of a photo: %w", err)
	}
	if err := json.Unmarshal(text, &t); err != nil {
		return t, fmt.Errorf("%s: %w", name, err)
	}
	for i := range t.Slices {
		if err := t.Slices[i].measure(); err != nil {
			return t, fmt.Errorf("%s: slice %d: %w", name, i, err)
		}
	}
	return t, nil
}

func (s *Slice) measure() error {
	o := outline(s.Outline)
	var err error
	s.size, err = shape.MeasureSize(o)
	s.mid = o.Centroid()
	return err
}

// free reports whether the slice lies by itself: only those are asked for.
func (s Slice) free() bool { return s.Touches == nil && s.Overlaps == nil && s.Over == nil }

// sameAs is how far the middle of a slice as measured may lie from its own, mm.
const sameAs = 12.0

// of is the free slice that a piece is; nil for none.
func (t truth) of(p piece.Piece) *Slice {
	var best *Slice
	nearest := sameAs
	mid := outline(p.Outline).Centroid()
	for i := range t.Slices {
		s := &t.Slices[i]
		if d := r2.Norm(r2.Sub(s.mid, mid)); d < nearest {
			best, nearest = s, d
		}
	}
	if best == nil || !best.free() {
		return nil
	}
	return best
}

func outline(points [][2]float64) shape.Outline {
	o := make(shape.Outline, len(points))
	for i, p := range points {
		o[i] = r2.Vec{X: p[0], Y: p[1]}
	}
	return o
}

// told is what a cook would enter slice by slice, by the numbers of the tray.
func (t truth) told(r piece.Tray, of func(Slice) string) string {
	var out []string
	for _, p := range r.MeasuredPieces() {
		if s := t.of(p); s != nil {
			out = append(out, strconv.Itoa(p.Number)+":"+of(*s))
		}
	}
	return strings.Join(out, ",")
}

// density is the mean of the slices', g/cm³.
func (t truth) density() string {
	var sum float64
	for _, s := range t.Slices {
		sum += s.Density / float64(len(t.Slices))
	}
	return strconv.FormatFloat(math.Round(sum*1e4)/1e4, 'f', -1, 64)
}
