package standard

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Judge compares a measured piece with the standard and sets its verdict, what
// stands against it and whether it is triangular. A value that is not known of
// this very piece is not judged. One that is not a number is unsure: it cannot
// pass, and nothing shows that it fails.
func (s Standard) Judge(p *piece.Piece, group string) {
	p.Faults = nil
	p.Triangular = p.Cover.Counts() && s.bareBecause(*p) == piece.Triangular
	for _, m := range piece.Judged() {
		low, high := s.Asks(m, group)
		v := *m.Of(p)
		if !v.Counts() || low == nil && high == nil {
			continue
		}
		verdict := s.Verdict.Guard.judge(margin(v.X, low, high), math.Abs(v.U), band(low, high))
		if verdict == piece.Pass {
			continue
		}
		f := piece.Fault{What: m.Key, Measured: v.X, Low: low, High: high, Unsure: verdict == piece.Unsure}
		if m == piece.Cover {
			f.What = s.bareBecause(*p)
		}
		p.Faults = append(p.Faults, f)
	}
	if s.KobaRequired && (p.Koba == nil || !*p.Koba) {
		p.Faults = append(p.Faults, piece.Fault{What: piece.NoKoba, Unsure: p.Koba == nil})
	}
	p.Verdict = verdictOf(p.Faults)
}

// CountsAsPass reports whether a verdict counts as passed under the standard's
// rule for unsure slices.
func (s Standard) CountsAsPass(v piece.Verdict) bool {
	return v == piece.Pass || v == piece.Unsure && s.Verdict.UnsureCountsAs == "pass"
}

// Counting says what close slices and slices that were not measured count as, and
// that one fault loses once.
func (s Standard) Counting() phrase.Text {
	return phrase.Of("scheme-close-" + s.Verdict.UnsureCountsAs).And(phrase.Of("scheme-unmeasured-" + string(s.Grading.Unmeasured))).And(phrase.Of("scheme-one-loss"))
}

func verdictOf(faults []piece.Fault) piece.Verdict {
	v := piece.Pass
	for _, f := range faults {
		if !f.Unsure {
			return piece.Fail
		}
		v = piece.Unsure
	}
	return v
}

// bareBecause says why a slice leaves more rice bare than the floor allows: its
// taper, its size, or else its edge. One that may be below the floor but is not
// seen to be has no such reason.
func (s Standard) bareBecause(p piece.Piece) string {
	switch {
	case !(p.Cover.X < s.Rice.CoverFloor):
		return piece.Cover.Key
	case p.Taper.X >= s.TriangularTaper:
		return piece.Triangular
	case p.Length.X < s.Length.Low || p.Width.X < s.Width.Low:
		return piece.Small
	}
	return piece.Ragged
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

// band is how far two limits lie apart.
func band(low, high *float64) float64 {
	if low == nil || high == nil {
		return math.Inf(1)
	}
	return *high - *low
}

// judge decides one limit from the margin, the uncertainty and the width of the band:
// what is known no better than to more than the band does not pass by the luck of
// lying in it. Comparing with NaN is false, so a margin or uncertainty that is no
// number ends as unsure.
func (g Guard) judge(margin, u, band float64) piece.Verdict {
	passAbove, failBelow := 0.0, 0.0
	if g == GuardAcceptance || g == GuardBoth {
		passAbove = u
	}
	if g == GuardRejection || g == GuardBoth {
		failBelow = -u
	}
	switch {
	case margin >= passAbove && (u <= band || g == GuardNone):
		return piece.Pass
	case margin < failBelow:
		return piece.Fail
	}
	return piece.Unsure
}
