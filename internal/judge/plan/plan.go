package plan

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/judge/coach"
)

// Side of the board, as the cook stands at it.
type Side string

const (
	Left  Side = "left"
	Right Side = "right"
)

// Options of a plan.
type Options struct {
	Density float64 // g/cm³
	Hand    Side    // the knife hand; a right-handed cook cuts from the left end
	Tail    Side    // the side on which the tail end lies
	TailTip bool    // the slice nearest the tail is fibrous: set it apart (common practice, no source)
	Turn    float64 // the most that an angle changes from one cut to the next, degrees
	Stack   int     // slices to a stack, 5 or 10
}

// DefaultOptions: right-handed, tail to the left, stacks of 5. A turn of 1° a
// cut makes a slice of 80 mm 1.4 mm thicker at one end (our setting).
func DefaultOptions() Options {
	return Options{Density: 1.05, Hand: Right, Tail: Left, TailTip: true, Turn: 1, Stack: 5}
}

func (o Options) check() error {
	switch {
	case !(o.Density >= 0.8 && o.Density <= 1.5):
		return fmt.Errorf("a density of %g g/cm³ is not that of flesh; give 0.8 to 1.5", o.Density)
	case o.Hand != Left && o.Hand != Right:
		return fmt.Errorf("the hand is left or right, not %q", o.Hand)
	case o.Tail != Left && o.Tail != Right:
		return fmt.Errorf("the tail lies left or right, not %q", o.Tail)
	case !(o.Turn >= 0 && o.Turn <= 5):
		return fmt.Errorf("a turn of %g° a cut is outside 0 to 5", o.Turn)
	case o.Stack < 1 || o.Stack > 100:
		return fmt.Errorf("stacks of %d cannot be; 5 or 10 are usual", o.Stack)
	}
	return nil
}

// fromTail reports whether cutting starts at the tail end.
func (o Options) fromTail() bool { return (o.Hand == Right) == (o.Tail == Left) }

// Cut is one stroke. Near and Far, on top and on the board, are where its edge
// crosses the block's four long edges, mm from the end where cutting starts.
// Cut 0 only frees the end piece.
type Cut struct {
	Number    int     `json:"number"`
	Theta     float64 `json:"theta_deg"`
	Phi       float64 `json:"phi_deg"`
	TopNear   float64 `json:"top_near_mm"`
	TopFar    float64 `json:"top_far_mm"`
	BoardNear float64 `json:"board_near_mm"`
	BoardFar  float64 `json:"board_far_mm"`
}

// Slice is what cut Number frees: its face is that cut's. Length and width are
// those of its outline as it lies on the face, leaning walls and all. Thickness
// is at the middle of the face, least and most at its corners, as two cuts that
// are not quite parallel leave it. Off names the measures outside the target's
// limits.
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
	FaceArea       float64  `json:"face_area_mm2"`
	Volume         float64  `json:"volume_mm3"`
	Weight         float64  `json:"weight_g"`
	Apart          bool     `json:"apart,omitempty"`
	Off            []string `json:"off,omitempty"`
}

// End is what is left at one end of the block.
type End struct {
	Volume float64 `json:"volume_mm3"`
	Weight float64 `json:"weight_g"`
}

// Aim is the size and weight wanted of each slice.
type Aim struct {
	Length float64 `json:"length_mm"`
	Width  float64 `json:"width_mm"`
	Weight float64 `json:"weight_g"`
}

// Plan is how to cut one block.
type Plan struct {
	Start     string   `json:"start"` // "tail" or "head"
	Hand      Side     `json:"hand"`
	Tail      Side     `json:"tail_side"`
	Density   float64  `json:"density_g_cm3"`
	Aim       Aim      `json:"aim"`
	Cuts      []Cut    `json:"cuts"`
	Slices    []Slice  `json:"slices"`
	StartEnd  End      `json:"start_end"`
	FinishEnd End      `json:"finish_end"`
	Block     End      `json:"block"`
	Served    float64  `json:"served_g"` // slices that are not set apart
	Yield     float64  `json:"yield_percent"`
	Stack     int      `json:"stack_of"`
	Stacks    int      `json:"stacks"`
	Over      int      `json:"slices_over"`
	Cautions  []string `json:"cautions"`

	Stations []Station `json:"stations"` // from the tail

	block  Block // as seen from the start
	planes []plane
}

// FromTail turns a distance from the end where cutting starts into one from
// the tail end.
func (p Plan) FromTail(x float64) float64 {
	if p.Start == "head" {
		return p.block.Length() - x
	}
	return x
}

// BlockFromStart is the block with x running from the end where cutting
// starts, as the cuts are given.
func (p Plan) BlockFromStart() Block { return p.block }

// MirrorX reports whether x, from the start, runs to the cook's left.
func (p Plan) MirrorX() bool { return p.Hand == Left }

// maxSlices bounds a plan: more come only from a slip of the unit.
const maxSlices = 500

// minAngle is the flattest angle planned, degrees; below it L = W / sin(theta)
// asks for cuts that no block is long enough for.
const minAngle = 15.0

// Make plans the cuts of a block for a target. Each slice weighs what the
// target aims for; the angles follow the block's width and height so far as
// Options.Turn lets them. The error tells what to change: the block is too
// wide or too high for any angle, or too small for one slice.
func Make(ctx context.Context, b Block, t coach.Target, o Options) (Plan, error) {
	if err := errors.Join(o.check(), checkTarget(t)); err != nil {
		return Plan{}, err
	}
	if err := fits(b, t); err != nil {
		return Plan{}, err
	}
	p := planner{block: b, target: t, opt: o, volume: t.WeightAim / o.Density * 1000}
	if !o.fromTail() {
		p.block = b.reversed()
	}
	if n := b.Volume() / p.volume; n > maxSlices {
		return Plan{}, fmt.Errorf("the block would give about %.0f slices of %g g; check the sizes: they are in mm", n, t.WeightAim)
	}
	best, err := p.bestStart(ctx)
	if err != nil {
		return Plan{}, err
	}
	return best.sum(), nil
}

func checkTarget(t coach.Target) error {
	for _, m := range []struct {
		name           string
		low, aim, high float64
	}{{"length", t.LengthLow, t.LengthAim, t.LengthHigh}, {"width", t.WidthLow, t.WidthAim, t.WidthHigh}, {"weight", t.WeightLow, t.WeightAim, t.WeightHigh}} {
		if !(m.aim > 0 && m.low <= m.aim && m.aim <= m.high) || math.IsInf(m.high, 1) {
			return fmt.Errorf("the target's %s %g, %g to %g, is none: the aim must be above 0 and within the limits", m.name, m.aim, m.low, m.high)
		}
	}
	return nil
}

// fits tells a block that no angle cuts to the target.
func fits(b Block, t coach.Target) error {
	if s := b.widest(); s.Width() > t.LengthAim {
		return fmt.Errorf("the block is %.0f mm wide at %.0f mm from the tail; no plan angle cuts %.0f mm from more than that: trim or split the block lengthwise", s.Width(), s.X, t.LengthAim)
	}
	if s := b.highest(); s.Height > t.WidthAim {
		return fmt.Errorf("the block is %.0f mm high at %.0f mm from the tail; no lay angle cuts %.0f mm from more than that: trim or split the block to less height", s.Height, s.X, t.WidthAim)
	}
	return nil
}

// sum turns the planner's cuts into the plan.
func (p planner) sum() Plan {
	out := Plan{Start: "tail", Hand: p.opt.Hand, Tail: p.opt.Tail, Density: p.opt.Density,
		Aim:      Aim{p.target.LengthAim, p.target.WidthAim, p.target.WeightAim},
		Stations: p.block.Stations(), Slices: p.slices, Stack: p.opt.Stack, Cautions: Cautions(), block: p.block, planes: p.planes}
	if !p.opt.fromTail() {
		out.Start, out.Stations = "head", p.block.reversed().Stations()
	}
	if p.opt.TailTip {
		tip := 0
		if !p.opt.fromTail() {
			tip = len(out.Slices) - 1
		}
		out.Slices[tip].Apart = true
	}
	for i, c := range p.planes {
		xs, _ := p.block.edgeX(c)
		out.Cuts = append(out.Cuts, Cut{i, c.theta, c.phi, xs[3], xs[2], xs[0], xs[1]})
	}
	total := p.block.Volume()
	first, last := p.block.volumeBefore(p.planes[0]), p.block.volumeBefore(p.planes[len(p.planes)-1])
	out.Block, out.StartEnd, out.FinishEnd = p.end(total), p.end(first), p.end(total-last)
	served := 0
	for _, s := range out.Slices {
		if !s.Apart {
			served++
			out.Served += s.Weight
		}
	}
	out.Yield = 100 * out.Served / out.Block.Weight
	out.Stacks, out.Over = served/p.opt.Stack, served%p.opt.Stack
	return out
}

func (p planner) end(volume float64) End { return End{volume, p.opt.Density * volume / 1000} }

// Uneven lists the numbers of the slices of uneven thickness: more than a
// quarter of it from thin to thick.
func (p Plan) Uneven() []int {
	var out []int
	for _, s := range p.Slices {
		if s.ThicknessMost-s.ThicknessLeast > 0.25*s.Thickness {
			out = append(out, s.Number)
		}
	}
	return slices.Clip(out)
}

// Traces are the two lines that cut i draws, on top of the block and on the
// board, as points in the block's frame (x from the tail end), from the near
// edge to the far one. On top of a block of changing height the line is bent a
// little, hence the points between.
func (p Plan) Traces(i int) (top, board []r3.Vec) {
	c, cut := p.planes[i], p.Cuts[i]
	return p.trace(c, cut.TopNear, cut.TopFar, true), p.trace(c, cut.BoardNear, cut.BoardFar, false)
}

func (p Plan) trace(c plane, near, far float64, top bool) []r3.Vec {
	const points = 9
	var out []r3.Vec
	for k := range points {
		f := float64(k) / (points - 1)
		x := near + f*(far-near)
		s := p.block.Section(x)
		at := r3.Vec{X: p.FromTail(x), Y: s.Near + f*(s.Far-s.Near)}
		if top {
			at.Z = s.Height
		}
		if c.n.Y > 1e-6 {
			at.Y = (c.d - c.n.X*x - c.n.Z*at.Z) / c.n.Y
		}
		out = append(out, at)
	}
	return out
}
