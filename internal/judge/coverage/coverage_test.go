package coverage

import (
	"bytes"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// kept are the residuals of the calibration set; testdata/coverage/README.md says
// what photos it is.
func kept(t *testing.T) []Residual {
	t.Helper()
	f, err := os.Open("../../../testdata/coverage/calibration.csv")
	fatal.If(t, err)
	defer f.Close()
	all, err := ReadResiduals(f)
	fatal.If(t, err)
	return all
}

// The factors that intervals are stated by are those that follow from the
// residuals that lie in the project, and hold 95 % of those, with two digits.
func TestFactorsFollowFromResiduals(t *testing.T) {
	all := kept(t)
	want, err := Fit(all)
	fatal.If(t, err)
	got := Measured()
	if len(got) != len(Groups) {
		t.Fatalf("%d factors for %d groups", len(got), len(Groups))
	}
	for i, g := range got {
		if g.Measure != want[i].Measure || g.Group.Seen != want[i].Group.Seen || g.K != want[i].K || g.Slices != want[i].Slices {
			t.Errorf("%s, %s: factor %.2f from %d slices, the residuals give %.2f from %d: run go run ./cmd/coverage --fit testdata/coverage/calibration.csv",
				g.Measure.Name(), g.Group.Seen, g.K, g.Slices, want[i].K, want[i].Slices)
		}
	}
	for _, h := range Hold(all, got) {
		// ⌈(n+1)·0.95⌉ of n by construction; rounding up may add a few.
		least := int(math.Ceil(float64(h.N+1) * Share))
		if h.Held < least || h.Held > least+max(2, h.N/50) {
			t.Errorf("%s, %s holds %d of %d, want %d", h.Measure.Name(), h.Seen, h.Held, h.N, least)
		}
	}
}

// Every slice falls into just one group for each measure that has groups, however
// it was seen; there are ten at most.
func TestGroupsPartTheSlices(t *testing.T) {
	if len(Groups) > 10 {
		t.Errorf("%d groups, want ten at most", len(Groups))
	}
	for k := range 8 {
		s := piece.Seen{Two: k&1 > 0, LayTold: k&2 > 0, Leans: k&4 > 0}
		for _, m := range []*piece.Measure{piece.Length, piece.Width, piece.Area, piece.Weight} {
			n := 0
			for _, g := range Groups {
				if g.Measure == m && g.holds(s) {
					n++
				}
			}
			if n != 1 {
				t.Errorf("%s of %+v falls into %d groups", m.Name(), s, n)
			}
		}
		if _, ok := GroupOf(piece.Taper, s); ok {
			t.Error("a taper has a group")
		}
	}
	if k := (Factors{}).Of(piece.Length, piece.Seen{}); k != 1 {
		t.Errorf("without factors k is %g times 2, want 2 itself", k)
	}
}

// Off by 5 with 3 told and 2 seen it takes the factor 2: 3² + (2·2)² = 5². What is
// off by less than was told takes none.
func TestScoreByHand(t *testing.T) {
	r := Residual{Error: -5, Seen: 2, Told: 3}
	if s := r.Score(); math.Abs(s-2) > 1e-12 || math.Abs(r.U(s)-5) > 1e-12 {
		t.Errorf("score %g, U %g; want 2 and 5", s, r.U(s))
	}
	if s := (Residual{Error: 2, Seen: 2, Told: 3}).Score(); s != 0 {
		t.Errorf("score %g of what is told, want 0", s)
	}
}

// 100 slices off by 1 to 100, each with U = 90: 90 are held, the median is 90, and
// the best constant holds 95 of them.
func TestHoldByHand(t *testing.T) {
	g := Groups[0]
	var all []Residual
	for i := range 100 {
		all = append(all, Residual{Group: g, Error: float64(i + 1), Seen: 45})
	}
	h := Hold(all, Factors{{g, 2, 0}})[0]
	low, high := uncertainty.Proportion(90, 100)
	if h.N != 100 || h.Held != 90 || h.Low != low || h.High != high || h.MedianU != 90 || h.Constant != 95 {
		t.Errorf("%+v", h)
	}
	if h := Hold(all, nil)[1]; h.N != 0 {
		t.Errorf("a group without slices: %+v", h)
	}
	if _, err := Fit(all); !errors.Is(err, uncertainty.ErrTooFew) {
		t.Errorf("groups without slices give %v", err)
	}
}

// Two trays, one off ten times as far: held to the other's factor the far one is
// not covered at all and the near one is wholly; held to their own both would be.
func TestHoldApart(t *testing.T) {
	var all []Residual
	for _, g := range Groups {
		for i := range 40 {
			all = append(all, Residual{"near", i, g, 1, 1, 0}, Residual{"far", i, g, 10, 1, 0})
		}
	}
	held, err := HoldApart(all)
	fatal.If(t, err)
	for _, h := range held {
		if h.N != 80 || h.Held != 40 || h.MedianU != 1 && h.MedianU != 10 {
			t.Errorf("%s, %s: %d of %d held, want 40 of 80", h.Measure.Name(), h.Seen, h.Held, h.N)
		}
	}
}

func TestFiles(t *testing.T) {
	in := []Residual{{"tray", 3, Groups[9], -1.25, 0.5, 0.125}}
	var b bytes.Buffer
	fatal.If(t, WriteResiduals(&b, in))
	text := b.String()
	out, err := ReadResiduals(&b)
	if err != nil || len(out) != 1 || out[0].Error != -1.25 || out[0].Seen != 0.5 || out[0].Told != 0.125 || !out[0].in(Groups[9]) || out[0].Slice != 3 {
		t.Errorf("%+v (%v)", out, err)
	}
	for _, bad := range []string{"", "tray\n", strings.Replace(text, "two photos", "three photos", 1), strings.Replace(text, "0.5", "0", 1), strings.Replace(text, "-1.25", "x", 1)} {
		if all, err := ReadResiduals(strings.NewReader(bad)); err == nil {
			t.Errorf("%q reads as %+v", bad, all)
		}
	}
	for _, bad := range []string{"", "measure,seen,factor,slices\nlength,one photo,-1,20\n", "measure,seen,factor,slices\nheight,one photo,1,20\n"} {
		if f, err := parse([]byte(bad)); err == nil {
			t.Errorf("%q reads as %+v", bad, f)
		}
	}
}
