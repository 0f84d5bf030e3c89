// Package task is a lesson as a teacher sets it: so many slices of a fish from a block,
// in so many minutes. It measures and grades nothing. Lengths are in mm.
package task

import (
	"math"
	"strings"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
)

// Task may be given to one class after another.
type Task struct {
	Name     string
	Species  string  `json:",omitempty"` // a name of the built-in table; empty for any fish
	Block    Block   `json:",omitzero"`  // none told where zero
	Slices   int     // asked for
	Minutes  float64 `json:",omitempty"` // for all of them; 0 for as long as it takes
	Practice bool    `json:",omitempty"` // slices slightly bigger than the house's
	PileOf   int     `json:",omitempty"` // slices are piled by so many: 5 or 10, 0 for not
	Pile     Pile    `json:",omitempty"` // how
}

// Pile is how slices are piled: flat with the koba up, or upright with it down (common
// practice, no source).
type Pile string

const (
	Flat    Pile = "flat"
	Upright Pile = "upright"
)

// Block is what each trainee gets, mm.
type Block struct{ Length, Width, Height float64 }

// Limits of what can be asked. Our settings: what a class can do, and a block a hand holds.
const (
	maxSlices  = 200
	maxMinutes = 24 * 60
	maxBlock   = 2000.0
	maxName    = 60
)

// Check says what is wrong with a task, as a person can mend it.
func (t Task) Check() error {
	if t.Name == "" || utf8.RuneCountInString(t.Name) > maxName || strings.ContainsAny(t.Name, "\r\n") {
		return phrase.Wrong("task-name", maxName)
	}
	if _, err := weight.BuiltIn().Find(t.Species); t.Species != "" && err != nil {
		return err
	}
	if t.Slices < 1 || t.Slices > maxSlices {
		return phrase.Wrong("task-slices", maxSlices)
	}
	if !(t.Minutes >= 0 && t.Minutes <= maxMinutes) {
		return phrase.Wrong("task-minutes", maxMinutes)
	}
	if !t.Block.whole() {
		return phrase.Wrong("task-block")
	}
	if piled := t.PileOf == 5 || t.PileOf == 10; t.PileOf != 0 && !piled || piled != (t.Pile == Flat || t.Pile == Upright) {
		return phrase.Wrong("task-pile")
	}
	return nil
}

// whole reports whether all of the block is told, or nothing of it.
func (b Block) whole() bool {
	if b == (Block{}) {
		return true
	}
	for _, v := range []float64{b.Length, b.Width, b.Height} {
		if !(v > 0 && v <= maxBlock) || math.IsNaN(v) {
			return false
		}
	}
	return true
}

// Told reports whether there is a block to plan.
func (b Block) Told() bool { return b != (Block{}) }

// Standard is what the task's slices are held against: the house's, or the slightly
// larger one for practice.
func (t Task) Standard(house standard.Standard) standard.Standard {
	if t.Practice {
		return standard.Practice()
	}
	return house
}

// Says is the task in a sentence.
func (t Task) Says() phrase.Text {
	says := phrase.Of("task-says", float64(t.Slices))
	if t.Block.Told() {
		says = says.And(phrase.Of("task-from", t.Block.Length, t.Block.Width, t.Block.Height))
	}
	if t.Minutes > 0 {
		says = says.And(phrase.Of("task-within", t.Minutes))
	}
	if t.PileOf > 0 {
		says = says.And(phrase.Of("task-piled-"+string(t.Pile), float64(t.PileOf)))
	}
	return says
}
