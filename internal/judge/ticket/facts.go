package ticket

import (
	"cmp"
	"strconv"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/weight"
)

// Facts are what a result by the ticket rests on, in the order of piece.FactKeys: what
// the tray's report tells of photo and mat, where there is one, what was told of the
// slices, and what the house asks of this species. Every output follows this list.
func (t Ticket) Facts(r *piece.Tray) (out []piece.Fact) {
	add := func(what string, says phrase.Text) {
		if len(says) > 0 {
			out = append(out, piece.NewFact(what, says))
		}
	}
	if r != nil {
		add("photo", taken(r.Photo))
		if r.Mat != nil {
			add("mat", matName(*r.Mat))
			add("print-scale", printed(*r.Mat))
		}
	}
	out = append(out, t.fish())
	add("density", t.density())
	add("temperature", t.degrees())
	add("thickness", t.thickness(r))
	if t.LayAngle != "" {
		add("lay", phrase.Named("value-degrees", t.LayAngle))
	}
	if t.SheetMM > 0 {
		add("sheet", phrase.Of("value-mm", t.SheetMM))
	}
	add("standard", t.asks())
	return out
}

// fish is the species, with its names in other languages.
func (t Ticket) fish() piece.Fact {
	name, _ := t.Fish()
	if name == "" {
		return piece.NewFact("species", phrase.Of("not-told"))
	}
	f := piece.NewFact("species", phrase.Named("value-name", name))
	f.Names = map[string]string{}
	for _, l := range phrase.Languages()[1:] {
		if own := t.SpeciesIn(l.Tag()); own != name {
			f.Names[l.Tag()] = own
		}
	}
	return f
}

func taken(p piece.Photo) phrase.Text {
	at, told := p.TakenAt(time.UTC)
	if !told {
		return phrase.Of("value-no-date")
	}
	return phrase.Named("value-name", at.Format("2006-01-02 15:04"))
}

func matName(m piece.Mat) phrase.Text {
	if m.Label != "" {
		return phrase.Named("value-mat", m.Name, m.Label)
	}
	return phrase.Named("value-name", m.Name)
}

func printed(m piece.Mat) phrase.Text {
	if m.PrintFrom == "" {
		return phrase.Of("value-print-true")
	}
	return phrase.Named("value-print", m.PrintFrom, m.PrintDay).With(100 * m.PrintScale)
}

// density is the flesh's, and where it comes from.
func (t Ticket) density() phrase.Text {
	m, err := t.flesh()
	if err != nil {
		return nil
	}
	says := phrase.Of("value-density", m.Density.X, uncertainty.Coverage*m.Density.U)
	if t.Density != "" {
		return says.And(phrase.Of("value-density-told"))
	}
	s, err := weight.BuiltIn().With(t.OwnSpecies).Find(t.Species)
	if err != nil || t.Species == "" {
		return says.And(phrase.Of("value-density-any"))
	}
	return says.And(phrase.Named("value-density-of", s.Source))
}

func (t Ticket) degrees() phrase.Text {
	c, err := strconv.ParseFloat(strings.TrimSpace(t.Temperature), 64)
	if err != nil {
		c = weight.ColdHeld // what is taken where nothing is told
	}
	return phrase.Of("value-celsius", c)
}

// thickness is what was told of it, and of a tray that was measured what each slice's
// thickness came of: a number that was told and not used is left out.
func (t Ticket) thickness(r *piece.Tray) phrase.Text {
	var n map[string]int
	if r != nil {
		n = cameOf(*r)
	}
	var parts, counts []phrase.Text
	for _, from := range t.thicknesses() {
		if from.told != "" && (len(n) == 0 || n[from.source] > 0) {
			parts = append(parts, phrase.Named(from.key, from.told))
		}
		if n[from.source] > 0 {
			counts = append(counts, phrase.Of(from.rests, float64(n[from.source])))
		}
	}
	if unknown := n[""]; unknown > 0 {
		counts = append(counts, phrase.Of("rests-unknown", float64(unknown)))
	}
	if len(counts) > 1 || len(parts) == 0 {
		parts = append(parts, counts...)
	}
	if len(parts) == 0 {
		return phrase.Of("not-told")
	}
	return joined(parts)
}

// thicknessFrom is one way to know a thickness: its name in reports, the keys of its
// words for what was told and for how many slices rest on it, and what was told.
type thicknessFrom struct{ source, key, rests, told string }

// thicknesses are all ways, the surest first.
func (t Ticket) thicknesses() []thicknessFrom {
	entered := "value-thickness-tray"
	if strings.Contains(t.Thickness, ":") {
		entered = "value-thickness-slices"
	}
	return []thicknessFrom{
		{weight.FromScale, "value-weights", "rests-scale", t.Weights}, {weight.FromSecondPhoto, "", "rests-second", ""},
		{weight.FromEntered, entered, "rests-told", t.Thickness}, {weight.FromTrayWeight, "value-tray-weight", "rests-tray-weight", t.TrayWeight},
		{weight.FromProfile, "told-profile", "rests-profile", t.cutter()}, {weight.FromCutPlan, "told-step", "rests-step", t.Pitch},
	}
}

// cameOf counts the measured slices by where their thickness came from, "" for those
// without one; nil where no slice has one.
func cameOf(r piece.Tray) map[string]int {
	n, known := map[string]int{}, false
	for _, p := range r.MeasuredPieces() {
		source := ""
		if p.Thickness.Known {
			known, source = true, cmp.Or(p.Thickness.Source, weight.FromEntered)
		}
		n[source]++
	}
	if !known {
		return nil
	}
	return n
}

// asks is what the house asks of slices of this species, and which of its weight bands
// that is.
func (t Ticket) asks() phrase.Text {
	_, group := t.Fish()
	var parts []phrase.Text
	for _, m := range piece.Judged() {
		low, high := t.Standard.Asks(m, group)
		if low == nil && high == nil {
			continue
		}
		says := phrase.Of("measure-"+m.Key).And(phrase.Of("space"), m.Asks(low, high))
		if m == piece.Weight {
			says = says.And(t.band(group))
		}
		parts = append(parts, says)
	}
	return phrase.Named("value-house", t.Standard.Name).And(joined(parts))
}

// band names the weight band where the house has several.
func (t Ticket) band(group string) phrase.Text {
	w := t.Standard.Weight
	switch one := w.General; {
	case w.Stiff == one && w.White == one && w.Tuna == one:
		return nil
	case t.Species == "":
		return phrase.Of("band-none")
	case group == "stiff", group == "white", group == "tuna":
		return phrase.Of("band-" + group)
	}
	return phrase.Of("band-general")
}

func joined(parts []phrase.Text) (out phrase.Text) {
	for i, p := range parts {
		if i > 0 {
			out = out.And(phrase.Of("rests-and"))
		}
		out = out.And(p)
	}
	return out
}
