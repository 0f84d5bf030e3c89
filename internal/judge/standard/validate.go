package standard

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
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
		within("triangular_taper", s.TriangularTaper, 0, 2),
		s.Verdict.validate(),
		s.Grading.validate(),
	)
}

func (s Standard) validateName() error {
	switch {
	case strings.TrimSpace(s.Name) == "":
		return errors.New(`name is missing; give the standard one, such as name = "lunch counter"`)
	case utf8.RuneCountInString(s.Name) > maxNameLen:
		return fmt.Errorf("name is longer than %d characters", maxNameLen)
	case strings.ContainsFunc(s.Name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return fmt.Errorf("name %q has characters that cannot be printed", s.Name)
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
		return fmt.Errorf("%s: low %g is above high %g, so no slice could pass", key, l.Low, l.High)
	}
	if l.Aim < l.Low || l.Aim > l.High {
		return fmt.Errorf("%s: aim %g is outside low %g to high %g", key, l.Aim, l.Low, l.High)
	}
	return nil
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
		return fmt.Errorf("rice: width_mm %g is above length_mm %g; swap them", r.Width, r.Length)
	}
	if r.Corner > r.Width/2 {
		return fmt.Errorf("rice: corner_mm %g is more than half of width_mm %g", r.Corner, r.Width)
	}
	return nil
}

func (r Rule) validate() error {
	switch r.Guard {
	case GuardRejection, GuardAcceptance, GuardBoth, GuardNone:
	default:
		return fmt.Errorf(`verdict.guard %q is none of "rejection", "acceptance", "both", "none"`, r.Guard)
	}
	if r.UnsureCountsAs != "pass" && r.UnsureCountsAs != "fail" {
		return fmt.Errorf(`verdict.unsure_counts_as %q is neither "pass" nor "fail"`, r.UnsureCountsAs)
	}
	return nil
}

func (g Grading) validate() error {
	total := 0
	for _, p := range []struct {
		name  string
		value int
	}{
		{"length", g.Length}, {"width", g.Width}, {"weight", g.Weight}, {"cover", g.Cover},
		{"evenness", g.Evenness}, {"count", g.Count}, {"pace", g.Pace},
	} {
		if p.value < 0 || p.value > maxPoints {
			return fmt.Errorf("grading.%s: %d points is outside 0 to %d", p.name, p.value, maxPoints)
		}
		total += p.value
	}
	if total == 0 {
		return errors.New("grading: no part is worth any points")
	}
	return g.validateScales()
}

// validateScales checks what evenness, count and pace are held against.
func (g Grading) validateScales() error {
	if err := errors.Join(
		within("grading.even_cv", g.EvenCV, 0, 1),
		within("grading.uneven_cv", g.UnevenCV, 0, 1),
		within("grading.slices_per_minute", g.SlicesPerMinute, 0.01, 1000),
	); err != nil {
		return err
	}
	if g.EvenCV >= g.UnevenCV {
		return fmt.Errorf("grading: even_cv %g must be below uneven_cv %g", g.EvenCV, g.UnevenCV)
	}
	if g.Stack < 1 || g.Stack > 100 {
		return fmt.Errorf("grading.stack = %d is outside 1 to 100", g.Stack)
	}
	return nil
}

// within refuses NaN, infinities and values outside low to high.
func within(key string, v, low, high float64) error {
	if math.IsNaN(v) || v < low || v > high {
		return fmt.Errorf("%s = %g is outside %g to %g", key, v, low, high)
	}
	return nil
}
