package standard

import "math"

// Verdict on one slice.
type Verdict string

const (
	Pass   Verdict = "pass"
	Fail   Verdict = "fail"
	Unsure Verdict = "unsure" // only values whose interval meets a limit stand against it
)

// Measured is one slice: lengths in mm, weight in g, cover from 0 to 1, taper
// as a ratio, each U an expanded uncertainty in the same unit. Weight and Koba
// are nil when they are not known.
type Measured struct {
	Length, LengthU float64
	Width, WidthU   float64
	Weight          *float64
	WeightU         float64
	Cover, CoverU   float64
	Taper           float64
	Koba            *bool
	Group           string // group of species, for the weight band
}

// Fault is one measure that does not pass. What is length, width, weight, koba,
// or, when rice stays bare, the reason: triangular, small or ragged. A limit
// that does not exist is nil.
type Fault struct {
	What     string
	Measured float64
	Low      *float64
	High     *float64
	Unsure   bool // the limit lies within the value's uncertainty
}

// Judgement is the verdict on one slice and what stands against it.
type Judgement struct {
	Verdict    Verdict
	Faults     []Fault
	Triangular bool // rice cover is below the floor and the taper explains it
}

// Judge compares a slice with the standard. A value that is not a number is
// unsure: it cannot pass, and nothing shows that it fails.
func (s Standard) Judge(m Measured) Judgement {
	var j Judgement
	j.Triangular = m.Cover < s.Rice.CoverFloor && s.bareBecause(m) == "triangular"
	j.add(s.check("length", m.Length, m.LengthU, &s.Length.Low, &s.Length.High))
	j.add(s.check("width", m.Width, m.WidthU, &s.Width.Low, &s.Width.High))
	if m.Weight != nil {
		band := s.WeightFor(m.Group)
		j.add(s.check("weight", *m.Weight, m.WeightU, &band.Low, &band.High))
	}
	j.add(s.check(s.bareBecause(m), m.Cover, m.CoverU, &s.Rice.CoverFloor, nil))
	if s.KobaRequired && (m.Koba == nil || !*m.Koba) {
		j.add(&Fault{What: "koba", Unsure: m.Koba == nil})
	}
	j.Verdict = verdictOf(j.Faults)
	return j
}

// CountsAsPass reports whether a verdict counts as passed under the standard's
// rule for unsure slices.
func (s Standard) CountsAsPass(v Verdict) bool {
	return v == Pass || v == Unsure && s.Verdict.UnsureCountsAs == "pass"
}

func (j *Judgement) add(f *Fault) {
	if f != nil {
		j.Faults = append(j.Faults, *f)
	}
}

func verdictOf(faults []Fault) Verdict {
	v := Pass
	for _, f := range faults {
		if !f.Unsure {
			return Fail
		}
		v = Unsure
	}
	return v
}

// bareBecause says why a slice would leave rice bare: its taper, its size, or
// else its edge.
func (s Standard) bareBecause(m Measured) string {
	switch {
	case m.Taper >= s.TriangularTaper:
		return "triangular"
	case m.Length < s.Length.Low || m.Width < s.Width.Low:
		return "small"
	}
	return "ragged"
}

// check returns nil when the value passes.
func (s Standard) check(what string, v, u float64, low, high *float64) *Fault {
	verdict := s.Verdict.Guard.judge(margin(v, low, high), math.Abs(u))
	if verdict == Pass {
		return nil
	}
	return &Fault{What: what, Measured: v, Low: copied(low), High: copied(high), Unsure: verdict == Unsure}
}

// margin is how far a value lies inside its nearest limit; negative is outside.
func margin(v float64, low, high *float64) float64 {
	m := math.Inf(1)
	if low != nil {
		m = math.Min(m, v-*low)
	}
	if high != nil {
		m = math.Min(m, *high-v)
	}
	return m
}

// judge decides one limit from the margin and the uncertainty. Comparing with
// NaN is false, so a margin or uncertainty that is no number ends as unsure.
func (g Guard) judge(margin, u float64) Verdict {
	passAbove, failBelow := 0.0, 0.0
	if g == GuardAcceptance || g == GuardBoth {
		passAbove = u
	}
	if g == GuardRejection || g == GuardBoth {
		failBelow = -u
	}
	switch {
	case margin >= passAbove:
		return Pass
	case margin < failBelow:
		return Fail
	}
	return Unsure
}

func copied(v *float64) *float64 {
	if v == nil {
		return nil
	}
	c := *v
	return &c
}
