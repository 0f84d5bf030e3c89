package plan

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
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
	TailTip bool    // the block ends in the tail: its tip is fibrous (common practice, no source)
	Turn    float64 // the most that an angle changes from one cut to the next, degrees
	Stack   int     // slices to a stack, 5 or 10
	Scatter Scatter // of the cook's hand
	Price   float64 // of the fish, per kg; 0 where it was not told
	Weight  float64 // the least wanted of a slice, g; 0 leaves it to the standard
}

// Densities that a block may have, g/cm³, and the one of fish in general.
const leastDensity, usualDensity, mostDensity = 0.8, 1.05, 1.5

// DefaultOptions: right-handed, tail to the left, stacks of 5. A turn of 1° a
// cut makes a slice of 80 mm 1.4 mm thicker at one end (our setting).
func DefaultOptions() Options {
	return Options{Density: usualDensity, Hand: Right, Tail: Left, TailTip: true, Turn: 1, Stack: 5, Scatter: DefaultScatter()}
}

func (o Options) check() error {
	switch {
	case !(o.Density >= leastDensity && o.Density <= mostDensity):
		return phrase.Wrong("plan-density", o.Density, leastDensity, mostDensity)
	case o.Hand != Left && o.Hand != Right:
		return phrase.Wrong("plan-no-hand", strconv.Quote(string(o.Hand)))
	case o.Tail != Left && o.Tail != Right:
		return phrase.Wrong("plan-no-tail", strconv.Quote(string(o.Tail)))
	case !(o.Turn >= 0 && o.Turn <= 5):
		return phrase.Wrong("plan-turn", o.Turn, 0, 5)
	case !(o.Price >= 0 && o.Price < 1e9):
		return phrase.Wrong("plan-price", o.Price)
	case !(o.Weight >= 0):
		return phrase.Wrong("plan-weight", o.Weight)
	case o.Stack < 1 || o.Stack > 100:
		return phrase.Wrong("plan-no-stacks", float64(o.Stack))
	}
	return o.Scatter.check()
}

// fromTail reports whether cutting starts at the tail end.
func (o Options) fromTail() bool { return (o.Hand == Right) == (o.Tail == Left) }

// Cut is one stroke. Near and Far, on top and on the board, are where its edge
// crosses the block's four long edges, mm from the end where cutting starts; a
// mark off the block lies on the edge drawn straight on beyond its end.
type Cut struct {
	Number    int     `json:"number"`
	Theta     float64 `json:"theta_deg"`
	Phi       float64 `json:"phi_deg"`
	TopNear   float64 `json:"top_near_mm"`
	TopFar    float64 `json:"top_far_mm"`
	BoardNear float64 `json:"board_near_mm"`
	BoardFar  float64 `json:"board_far_mm"`
}

// Aim is the size and weight wanted of each slice.
type Aim struct {
	Length float64 `json:"length_mm"`
	Width  float64 `json:"width_mm"`
	Weight float64 `json:"weight_g"`
}

// Plan is how to cut one block. Each cut frees the slice of its number, or an
// offcut.
type Plan struct {
	Start    string   `json:"start"` // "tail" or "head"
	Hand     Side     `json:"hand"`
	Tail     Side     `json:"tail_side"`
	Density  float64  `json:"density_g_cm3"`
	Aim      Aim      `json:"aim"`
	Cuts     []Cut    `json:"cuts"`
	Slices   []Slice  `json:"slices"`
	Offcuts  []Offcut `json:"offcuts"`
	Block    float64  `json:"block_g"`
	Served   float64  `json:"served_g"`
	Yield    float64  `json:"yield_percent"`
	Stack    int      `json:"stack_of"`
	Stacks   int      `json:"stacks"`
	Over     int      `json:"slices_over"`
	Scatter  Scatter  `json:"scatter"`
	Price    float64  `json:"price_per_kg,omitempty"`
	Turned   int      `json:"turned_serves,omitempty"` // the slices the block gives turned end for end, where these are more
	Cautions []string `json:"cautions"`

	Stations []Station `json:"stations"` // from the tail

	block  Block // as seen from the start
	planes []plane
}

// Sure counts the slices that stand the scatter of a hand.
func (p Plan) Sure() (n int) {
	for _, s := range p.Slices {
		if s.Sure {
			n++
		}
	}
	return n
}

// UnmarshalJSON reads a plan with what its drawings need.
func (p *Plan) UnmarshalJSON(data []byte) error {
	type plain Plan
	if err := json.Unmarshal(data, (*plain)(p)); err != nil {
		return err
	}
	b, err := NewBlock(p.Stations)
	if err != nil {
		return err
	}
	if p.block = b; p.Start == "head" {
		p.block = b.reversed()
	}
	p.planes = nil
	for _, c := range p.Cuts {
		p.planes = append(p.planes, knife{c.Theta, c.Phi}.at(p.block.point(c.BoardNear, 0, false)))
	}
	return nil
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

// TailIsLarger reports whether the tail's quarter of the block holds a tenth more
// than the head's: it may have been told the wrong way round.
func (p Plan) TailIsLarger() bool {
	const quarter, more = 0.25, 1.1
	l := p.block.Length()
	at := func(share float64) float64 { return p.block.massBefore(knife{90, 90}.at(r3.Vec{X: share * l})).Volume }
	first, last := at(quarter), p.block.Volume()-at(1-quarter)
	if p.Start == "head" {
		first, last = last, first
	}
	return first > more*last
}

// maxSlices bounds a plan: more come only from a slip of the unit.
const maxSlices = 500

// Make plans the cuts that serve most slices of a block within the house
// standard for a group of species. Angles follow the block's width and height so
// far as Options.Turn and the standard's wedge let them. The error tells what to
// change: the block is too wide or too high for any angle, or too small for one
// slice.
//
// A block that slopes from side to side is also planned turned end for end: it
// matters much which side the knife meets first.
func Make(ctx context.Context, b Block, asked standard.Standard, group string, o Options) (Plan, error) {
	p, err := asItLies(ctx, b, asked, group, o)
	if !b.slopes() || err != nil && !errors.Is(err, ErrNoSlice) {
		return p, err
	}
	turned, _ := asItLies(ctx, b.turned(), asked, group, o.turned())
	switch n := len(turned.Slices); {
	case n > 0 && err != nil:
		return p, &phrase.Error{Says: phrase.Of("no-slice-turn", float64(n)), Cause: ErrNoSlice}
	case n > len(p.Slices):
		p.Turned = n
	}
	return p, err
}

// turned is for a block that was turned end for end on the board.
func (o Options) turned() Options {
	o.Tail = map[Side]Side{Left: Right, Right: Left}[o.Tail]
	return o
}

func asItLies(ctx context.Context, b Block, asked standard.Standard, group string, o Options) (Plan, error) {
	if err := o.check(); err != nil {
		return Plan{}, err
	}
	grams := asked.WeightFor(group)
	if o.Weight > grams.High {
		return Plan{}, phrase.Wrong("plan-heavy", o.Weight, grams.Low, grams.High)
	}
	s := search{block: b, house: house{asked, group, o.Density, o.Scatter, true}, turn: o.Turn, weight: max(grams.Low, o.Weight), shaped: !b.isBar()}
	if !o.fromTail() {
		s.block = b.reversed()
	}
	const lightest = 0.01 // g, so that no standard asks for endless slices
	if n := b.Volume() / s.volume(max(s.weight, lightest)); n > maxSlices {
		return Plan{}, phrase.Wrong("block-many-slices", n, s.weight)
	}
	best := s.best(ctx)
	if !s.closely(best) { // what was found in a hurry does not stand a closer look
		s.house.rough = false
		best = s.best(ctx)
	}
	if err := ctx.Err(); err != nil {
		return Plan{}, err
	}
	if best == nil {
		return Plan{}, s.house.why(b)
	}
	return s.sum(best, o), nil
}

// sum turns the planner's cuts into the plan.
func (s search) sum(best *row, o Options) Plan {
	weight := s.house.WeightFor(s.house.group)
	out := Plan{Start: "tail", Hand: o.Hand, Tail: o.Tail, Density: o.Density,
		Aim:      Aim{s.house.Length.Aim, s.house.Width.Aim, weight.Aim},
		Stations: s.block.Stations(), Stack: o.Stack, Scatter: o.Scatter, Price: o.Price, block: s.block}
	for _, key := range Cautions() {
		out.Cautions = append(out.Cautions, phrase.English().Word(key))
	}
	if !o.fromTail() {
		out.Start, out.Stations = "head", s.block.reversed().Stations()
	}
	var rows []*row
	for r := best; r != nil; r = r.before {
		rows = append(rows, r)
	}
	slices.Reverse(rows)
	for i, r := range rows {
		c := r.cut
		out.Cuts = append(out.Cuts, Cut{i, c.theta, c.phi,
			s.block.crossing(c, 0, true), s.block.crossing(c, 1, true), s.block.crossing(c, 0, false), s.block.crossing(c, 1, false)})
		out.planes = append(out.planes, c)
		if r.slice.Weight > 0 {
			r.slice.Number = i
			out.Slices, out.Served = append(out.Slices, r.slice), out.Served+r.slice.Weight
		}
	}
	out.Block = o.Density * s.block.Volume() / 1000
	out.Yield = 100 * out.Served / out.Block
	out.Offcuts = s.offcuts(out, o)
	out.Stacks, out.Over = len(out.Slices)/o.Stack, len(out.Slices)%o.Stack
	return out
}

// Traces are the two lines that cut i draws, on top of the block and on the
// board, as points in the block's frame (x from the tail end), from the near
// edge to the far one, as far as they lie on the block.
func (p Plan) Traces(i int) (top, board []r3.Vec) {
	const points = 96
	c, b := p.planes[i], p.block
	for k := range points + 1 {
		share := float64(k) / points
		for _, onTop := range []bool{true, false} {
			x := b.crossing(c, share, onTop)
			at := b.point(x, share, onTop)
			if at.X = p.FromTail(x); x < 0 || x > b.Length() {
				continue
			}
			if onTop {
				top = append(top, at)
			} else {
				board = append(board, at)
			}
		}
	}
	return top, board
}
