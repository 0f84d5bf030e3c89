package textfile

import (
	"math"
	"testing"
)

func FuzzDecimal(f *testing.F) {
	for _, s := range []string{"4,2", "４．２", "1:4.2,2:3.9", "１：４．２、２：３．９", "。", ",,"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		once := Decimal(s)
		if twice := Decimal(once); twice != once {
			t.Errorf("%q becomes %q and then %q", s, once, twice)
		}
	})
}

func TestDecimal(t *testing.T) {
	for typed, want := range map[string]string{
		"4,2": "4.2", " 4.2 ": "4.2", "４．２": "4.2", "1:4.2,2:3.9": "1:4.2,2:3.9", "１：４．２、２：３．９": "1:4.2,2:3.9", "4.2,3": "4.2,3", "": "",
		"812,5": "812.5", "0,125": "0.125", "1,200": "1,200", " １，２００ ": "1,200", "12,3456": "12.3456",
	} {
		if got := Decimal(typed); got != want {
			t.Errorf("%q becomes %q, want %q", typed, got, want)
		}
	}
}

func TestNumber(t *testing.T) {
	for typed, want := range map[string]float64{"４，２": 4.2, " 12 ": 12, "-3": -3} {
		if got := Number(typed); got != want {
			t.Errorf("%q is %g, want %g", typed, got, want)
		}
	}
	for _, typed := range []string{"", "1,200", "1:2", "twelve"} {
		if got := Number(typed); !math.IsNaN(got) {
			t.Errorf("%q is %g, and is no number", typed, got)
		}
	}
}
