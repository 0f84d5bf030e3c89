package standard

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Bounds that no slice reaches; they keep a slip such as metres for millimetres
// or a stray exponent from becoming a standard.
const (
	maxLengthMM = 500
	maxWeightG  = 500
	maxPoints   = 10000
	maxNameLen  = 80
)

// validate returns every contradiction in s, one per line.
func (s Standard) validate() error {
	return errors.Join(
		s.validateName(),
		s.Length.validate("length_mm", maxLengthMM),
		s.Width.validate("width_mm", maxLengthMM),
		s.Weight.Stiff.validate("weight_g.stiff", maxWeightG),
		s.Weight.White.validate("weight_g.white", maxWeightG),
		s.Weight.Tuna.validate("weight_g.tuna", maxWeightG),
		s.Weight.General.validate("weight_g.general", maxWeightG),
		s.Rice.validate(),
		s.validateCeilings(),
		within("triangular_taper", s.TriangularTaper, 0, 2),
		s.Verdict.validate(),
		s.Grading.validate(),
	)
}

func (s Standard) validateName() error {
	switch {
	case strings.TrimSpace(s.Name) == "":
		return phrase.Wrong("std-no-name")
	case utf8.RuneCountInString(s.Name) > maxNameLen:
		return phrase.Wrong("std-long-name", maxNameLen)
	case strings.ContainsFunc(s.Name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return phrase.Wrong("std-odd-name", strconv.Quote(s.Name))
	}
	return nil
}

func (l Limits) validate(key string, most float64) error {
	for _, v := range []struct {
		name  string
		value float64
	}{{"low", l.Low}, {"aim", l.Aim}, {"high", l.High}} {
		if err := within(key+"."+v.name, v.value, 0, most); err != nil {
			return err
		}
	}
	if l.Low > l.High {
		return phrase.Wrong("std-low-high", key, l.Low, l.High)
	}
	if l.Aim < l.Low || l.Aim > l.High {
		return phrase.Wrong("std-aim", key, l.Aim, l.Low, l.High)
	}
	return nil
}

func (s Standard) validateCeilings() error {
	var all []error
	for _, c := range s.ceilings() {
		all = append(all, within(c.table+".high", c.High, 0, c.most))
	}
	return errors.Join(all...)
}

func (r Rice) validate() error {
	if err := errors.Join(
		within("rice.length_mm", r.Length, 1, maxLengthMM),
		within("rice.width_mm", r.Width, 1, maxLengthMM),
		within("rice.corner_mm", r.Corner, 0, maxLengthMM),
		within("rice.cover_floor", r.CoverFloor, 0, 1),
	); err != nil {
		return err
	}
	if r.Width > r.Length {
		return phrase.Wrong("std-rice-side", "rice", r.Width, r.Length)
	}
	if r.Corner > r.Width/2 {
		return phrase.Wrong("std-rice-corner", "rice", r.Corner, r.Width)
	}
	return nil
}

func (r Rule) validate() error {
	switch r.Guard {
	case GuardRejection, GuardAcceptance, GuardBoth, GuardNone:
	default:
		return phrase.Wrong("std-choice", "verdict.guard", string(r.Guard), "rejection, acceptance, both, none")
	}
	if r.UnsureCountsAs != "pass" && r.UnsureCountsAs != "fail" {
		return phrase.Wrong("std-choice", "verdict.unsure_counts_as", string(r.UnsureCountsAs), "pass, fail")
	}
	return nil
}

func (g Grading) validate() error {
	type part struct {
		name  string
		value int
	}
	var parts []part
	for _, m := range piece.Judged() {
		parts = append(parts, part{m.Key, g.Points(m)})
	}
	total := 0
	for _, p := range append(parts, part{"evenness", g.Evenness}, part{"count", g.Count}, part{"pace", g.Pace}) {
		if p.value < 0 || p.value > maxPoints {
			return phrase.Wrong("std-points", "grading."+p.name, float64(p.value), maxPoints)
		}
		total += p.value
	}
	if total == 0 {
		return phrase.Wrong("std-no-points", "grading")
	}
	if g.Unmeasured != UnmeasuredFails && g.Unmeasured != UnmeasuredLeftOut {
		return phrase.Wrong("std-choice", "grading.unmeasured", string(g.Unmeasured), "fail, leave-out")
	}
	return g.validateScales()
}

// validateScales checks what evenness, count and pace are held against.
func (g Grading) validateScales() error {
	if err := errors.Join(
		within("grading.even_cv", g.EvenCV, 0, 1),
		within("grading.uneven_cv", g.UnevenCV, 0, 1),
		within("grading.slices_per_minute", g.SlicesPerMinute, 0.01, 1000), // no hand is slower or faster
	); err != nil {
		return err
	}
	if g.EvenCV >= g.UnevenCV {
		return phrase.Wrong("std-even", "grading.even_cv", g.EvenCV, g.UnevenCV)
	}
	if g.Stack < 1 || g.Stack > 100 {
		return phrase.Wrong("std-outside", "grading.stack", float64(g.Stack), 1, 100)
	}
	return nil
}

// within refuses NaN, infinities and values outside low to high.
func within(key string, v, low, high float64) error {
	if math.IsNaN(v) || v < low || v > high {
		return phrase.Wrong("std-outside", key, v, low, high)
	}
	return nil
}
