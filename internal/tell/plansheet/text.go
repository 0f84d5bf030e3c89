package plansheet

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"netagauge/internal/judge/plan"
)

// Text writes the plan for people at a terminal.
func Text(w io.Writer, p plan.Plan) error {
	var b strings.Builder
	for _, s := range intro(p) {
		fmt.Fprintln(&b, s)
	}
	fmt.Fprintln(&b)
	table := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, row := range rows(p) {
		fmt.Fprintln(table, strings.Join(row[:len(row)-1], "\t")+"\t  "+row[len(row)-1])
	}
	table.Flush()
	fmt.Fprintln(&b)
	for _, s := range summary(p) {
		fmt.Fprintln(&b, s)
	}
	fmt.Fprintln(&b, "\nCautions:")
	for _, s := range p.Cautions {
		fmt.Fprintln(&b, "  "+s)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// intro says how the block lies and how to read the table.
func intro(p plan.Plan) []string {
	side := plan.Left
	if p.MirrorX() {
		side = plan.Right
	}
	length := p.Stations[len(p.Stations)-1].X
	b := p.BlockFromStart()
	near, far := b.Section(p.FromTail(0.1*length)), b.Section(p.FromTail(0.9*length))
	size := fmt.Sprintf("%.0f mm wide and %.0f high", near.Width(), near.Height)
	if math.Abs(near.Width()-far.Width())+math.Abs(near.Height-far.Height) >= 0.5 {
		size = fmt.Sprintf("%.0f mm wide and %.0f high near the tail, %.0f and %.0f near the head", near.Width(), near.Height, far.Width(), far.Height)
	}
	return []string{
		fmt.Sprintf("Block: %.0f mm long, %s; %.0f g at %.3g g/cm³. Slices of %.0f × %.0f mm and %.1f g.", length, size, p.Block.Weight, p.Density, p.Aim.Length, p.Aim.Width, p.Aim.Weight),
		fmt.Sprintf("Knife in the %s hand; start at the %s end, on your %s. The tip of the knife points away and to the %s.", p.Hand, p.Start, side, side),
		fmt.Sprintf("Marks are on the top edges, in mm from the %s end. Cut 0 frees the end piece; cut 1 frees slice 1.", p.Start),
		"Length and width are those of the slice as it lies, its leaning walls and all, as a photo of it is measured.",
	}
}

// header of the table; plan is the angle on the board, lay that of the blade to it.
func header() []string {
	return []string{"cut", "near edge", "far edge", "plan °", "lay °", "step", "thick", "length", "width", "g", "note"}
}

// rows are the header and one row a cut.
func rows(p plan.Plan) [][]string {
	c0 := p.Cuts[0]
	out := [][]string{header(), {"0", mm(c0.TopNear), mm(c0.TopFar), deg(c0.Theta), deg(c0.Phi), "", "", "", "", "", "end piece"}}
	for i, s := range p.Slices {
		c := p.Cuts[i+1]
		out = append(out, []string{fmt.Sprint(c.Number), mm(c.TopNear), mm(c.TopFar), deg(c.Theta), deg(c.Phi),
			mm(s.Pitch), thick(s), mm(s.Length), mm(s.Width), fmt.Sprintf("%.1f", s.Weight), note(s)})
	}
	return out
}

func mm(v float64) string  { return fmt.Sprintf("%.1f", v) }
func deg(v float64) string { return fmt.Sprintf("%.0f", v) }

// thick gives the range where two cuts are not parallel.
func thick(s plan.Slice) string {
	if s.ThicknessMost-s.ThicknessLeast < 0.3 {
		return mm(s.Thickness)
	}
	return fmt.Sprintf("%.1f–%.1f", s.ThicknessLeast, s.ThicknessMost)
}

func note(s plan.Slice) string {
	var notes []string
	if s.Apart {
		notes = append(notes, "tail tip: set apart")
	}
	if len(s.Off) > 0 {
		notes = append(notes, strings.Join(s.Off, " and ")+" off the standard")
	}
	return strings.Join(notes, "; ")
}

// summary counts slices, stacks, ends and yield.
func summary(p plan.Plan) []string {
	served := p.Stacks*p.Stack + p.Over
	count := fmt.Sprintf("%d slices", len(p.Slices))
	if served < len(p.Slices) {
		count += fmt.Sprintf(", %d of them set apart (the tail tip is fibrous)", len(p.Slices)-served)
	}
	finish := "head"
	if p.Start == "head" {
		finish = "tail"
	}
	out := []string{
		fmt.Sprintf("%s; %d to serve: %d × a stack of %d, and %d over.", count, served, p.Stacks, p.Stack, p.Over),
		fmt.Sprintf("Left at the %s end %.0f g, at the %s end %.0f g. Yield %.0f g of %.0f g, %.0f %%.", p.Start, p.StartEnd.Weight, finish, p.FinishEnd.Weight, p.Served, p.Block.Weight, p.Yield),
	}
	if n := p.Uneven(); len(n) > 0 {
		out = append(out, fmt.Sprintf("Slices %s come out uneven in thickness, because the knife turns to follow the block; a smaller turn evens them and lets their size drift.", list(n)))
	}
	return out
}

// list writes numbers as runs: 2–5, 9.
func list(ns []int) string {
	var parts []string
	for i := 0; i < len(ns); {
		k := i
		for k+1 < len(ns) && ns[k+1] == ns[k]+1 {
			k++
		}
		if part := fmt.Sprint(ns[i]); k > i {
			parts = append(parts, part+"–"+fmt.Sprint(ns[k]))
		} else {
			parts = append(parts, part)
		}
		i = k + 1
	}
	return strings.Join(parts, ", ")
}
