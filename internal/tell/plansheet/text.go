package plansheet

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/tell/terminal"
)

// Sheet is a plan to be read.
type Sheet struct {
	plan.Plan
	Title string
	Blade float64          // from edge to spine, mm; 0 where the cook did not tell
	Words *phrase.Language // what it is written in
}

// Text writes the plan for people at a terminal.
func (s Sheet) Text(w io.Writer) error {
	var b strings.Builder
	for _, t := range s.intro() {
		fmt.Fprintln(&b, t)
	}
	fmt.Fprintln(&b)
	rows := s.Rows()
	note := len(rows[0]) - 1
	fmt.Fprintln(&b, terminal.Table{Head: rows[0], Rows: rows[1:], Numbers: func(column int) bool { return column != note }})
	for _, t := range s.Summary() {
		fmt.Fprintln(&b, t)
	}
	fmt.Fprintln(&b, "\n"+strings.TrimSpace(s.Words.Word("cautions")+s.Words.Word("point-colon")))
	for _, t := range s.cautions() {
		fmt.Fprintln(&b, "  "+t)
	}
	_, err := io.WriteString(w, terminal.Fold(b.String()))
	return err
}

func (s Sheet) say(key string, numbers ...float64) string {
	return s.Words.Must(phrase.Of(key, numbers...))
}

// Order says what each block gives to an order of slices, a line each.
func Order(shares []plan.Share, short int, l *phrase.Language) string {
	var lines []string
	for _, s := range shares {
		t := phrase.Of("order-all", float64(s.Block+1), float64(s.Slices))
		if s.Whole > 0 {
			t = phrase.Of("order-part", float64(s.Block+1), float64(s.Slices), s.Length, s.Whole)
		}
		lines = append(lines, l.Must(t))
	}
	if short > 0 {
		lines = append(lines, l.Must(phrase.Of("order-short", float64(short))))
	}
	return strings.Join(lines, "\n")
}

// ends and uses are the keys of where an offcut lies and what it is good for.
var (
	ends = map[string]string{"tail": "end-tail", "head": "end-head", "between": "between-slices"}
	uses = map[plan.Use]string{plan.TailTip: "plan-use-tip", plan.OpenBook: "plan-use-open", plan.OtherUses: "plan-use-keep"}
)

// intro says how the block lies and how to read the table.
func (s Sheet) intro() []string {
	side := plan.Left
	if s.MirrorX() {
		side = plan.Right
	}
	long := s.Stations[len(s.Stations)-1].X
	first, last := s.widest(0, long/10), s.widest(long-long/10, long)
	size := phrase.Of("plan-block", long, first.Width(), first.Highest(), s.Block, s.Density)
	if math.Abs(first.Width()-last.Width())+math.Abs(first.Highest()-last.Highest()) >= 0.5 {
		size = phrase.Of("plan-block-tapers", long, first.Width(), first.Highest(), last.Width(), last.Highest(), s.Block, s.Density)
	}
	out := []string{s.Words.Must(size) + s.Words.Word("space") + s.say("plan-aim", s.Aim.Length, s.Aim.Width, s.Aim.Weight)}
	if middle := s.BlockFromStart().Section(long / 2); !middle.Level() {
		out = append(out, s.say("plan-slope", middle.NearHeight, middle.Height, middle.FarHeight)+s.Words.Word("space")+s.say("plan-lay")+s.Words.Word("space")+s.say("plan-low-first"))
	}
	if s.Turned > 0 {
		out = append(out, s.say("plan-turned", float64(s.Turned)))
	}
	if s.TailIsLarger() {
		out = append(out, s.say("plan-tail-wide"))
	}
	return append(out,
		s.Words.Must(phrase.Named("plan-start", string(s.Hand), ends[s.Start], string(side))),
		s.Words.Must(phrase.Named("plan-marks", ends[s.Start])),
		s.say("plan-lies"))
}

// widest is the widest section told from one place to another. The very end of a
// block that was cut off askew is only its corner.
func (s Sheet) widest(from, to float64) plan.Station {
	var out plan.Station
	for _, at := range s.Stations {
		if from <= at.X && at.X <= to && at.Width() > out.Width() {
			out = at
		}
	}
	return out
}

// Rows are the header and one row a cut; slices cut alike share a row.
func (s Sheet) Rows() [][]string {
	header := []string{"plan-order", "plan-near", "plan-far", "plan-theta", "plan-phi", "plan-spine", "plan-step", "plan-thick", "plan-length-of", "plan-width-of", "plan-grams", "plan-note"}
	for i, key := range header {
		header[i] = s.Words.Word(key)
	}
	out := [][]string{header}
	for _, run := range s.alike() {
		out = append(out, s.row(run))
	}
	if s.Blade == 0 {
		for i, row := range out {
			out[i] = slices.Delete(row, spineColumn, spineColumn+1)
		}
	}
	return out
}

const spineColumn = 5

// row of the cuts of one run, from the first to the last.
func (s Sheet) row(run []int) []string {
	a, b := s.Cuts[run[0]], s.Cuts[run[len(run)-1]]
	row := []string{fmt.Sprint(a.Number), s.mark(a.TopNear), s.mark(a.TopFar), deg(a.Theta), deg(a.Phi), whole(s.Blade * math.Sin(a.Phi*math.Pi/180))}
	if len(run) > 1 {
		row[0] += "–" + fmt.Sprint(b.Number)
		row[1] += " … " + s.mark(b.TopNear)
		row[2] += " … " + s.mark(b.TopFar)
	}
	t, ok := s.slice(a.Number)
	if !ok {
		return append(row, "", "", "", "", "", s.freed(a.Number))
	}
	note := ""
	if !t.Sure {
		note = s.Words.Word("plan-steady")
	}
	return append(row, mm(t.Pitch), thick(t), mm(t.Length), mm(t.Width), mm(t.Weight), note)
}

// alike are the cuts in runs whose rows read the same but for their marks.
func (s Sheet) alike() [][]int {
	var out [][]int
	for i := range s.Cuts {
		if n := len(out); n > 0 && slices.Equal(s.row([]int{i})[3:], s.row(out[n-1][:1])[3:]) {
			out[n-1] = append(out[n-1], i)
			continue
		}
		out = append(out, []int{i})
	}
	return out
}

// slice that a cut frees, if it frees one.
func (s Sheet) slice(cut int) (plan.Slice, bool) {
	i := slices.IndexFunc(s.Slices, func(t plan.Slice) bool { return t.Number == cut })
	if i < 0 {
		return plan.Slice{}, false
	}
	return s.Slices[i], true
}

func (s Sheet) freed(cut int) string {
	for _, o := range s.Offcuts {
		if o.Cut == cut {
			return s.Words.Must(phrase.Text{{Key: "plan-frees", Numbers: []float64{o.Weight}, Names: []string{uses[o.Use]}}})
		}
	}
	return s.Words.Word("plan-frees-none")
}

// mark is in brackets where it lies beyond the block.
func (s Sheet) mark(x float64) string {
	if x < 0 || x > s.BlockFromStart().Length() {
		return "(" + mm(x) + ")"
	}
	return mm(x)
}

func mm(v float64) string    { return fmt.Sprintf("%.1f", v) }
func deg(v float64) string   { return fmt.Sprintf("%.0f", v) }
func whole(v float64) string { return fmt.Sprintf("%.0f", v) }

// thick gives the range where two cuts are not parallel.
func thick(s plan.Slice) string {
	if s.ThicknessMost-s.ThicknessLeast < 0.3 {
		return mm(s.Thickness)
	}
	return fmt.Sprintf("%.1f–%.1f", s.ThicknessLeast, s.ThicknessMost)
}

// Summary counts slices, stacks, what is left and what it costs.
func (s Sheet) Summary() []string {
	return slices.Concat(s.Counted(), s.Left(), s.Costs())
}

// Counted are how many slices there are to serve, how many are sure, and the stacks.
func (s Sheet) Counted() []string {
	n := float64(len(s.Slices))
	return []string{
		s.say("plan-sum", n, s.Plan.Served, s.Block, s.Yield),
		s.sure(),
		s.stacks(),
	}
}

// Left says what is left over, a line for each piece.
func (s Sheet) Left() (out []string) {
	for _, o := range s.Offcuts {
		key := "plan-left"
		if o.Where == "between" {
			key = "plan-left-between"
		}
		out = append(out, s.Words.Must(phrase.Text{{Key: key, Numbers: []float64{o.Weight, float64(o.Cut)}, Names: []string{ends[o.Where], uses[o.Use]}}}))
	}
	return out
}

// Costs says what slices, trim and slips cost, where the price was told.
func (s Sheet) Costs() []string {
	c := s.Cost()
	if !(c.Slice > 0) {
		return nil
	}
	return []string{s.say("plan-cost", c.Slice, c.Trim, c.HalfGram, c.Degree)}
}

func (s Sheet) sure() string {
	switch s.Sure() {
	case 0:
		return s.say("plan-sure-none", s.Scatter.Tray, s.Scatter.Cut)
	case len(s.Slices):
		return s.say("plan-sure-all", s.Scatter.Tray, s.Scatter.Cut)
	}
	return s.say("plan-sure", float64(s.Sure()), s.Scatter.Tray, s.Scatter.Cut)
}

func (s Sheet) cautions() []string {
	var out []string
	for _, key := range plan.Cautions() {
		out = append(out, s.Words.Word(key))
	}
	return out
}

// stacks are the full stacks, and what is over where anything is.
func (s Sheet) stacks() string {
	if s.Over == 0 {
		return s.say("plan-stacks-even", float64(s.Stacks), float64(s.Stack))
	}
	return s.say("plan-stacks", float64(s.Stacks), float64(s.Stack), float64(s.Over))
}
