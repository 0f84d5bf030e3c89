package textfile

import (
	"slices"
	"testing"
)

func TestLike(t *testing.T) {
	names := []string{"species", "sheet", "standard", "scale-interval", "thickness", "tray-weight", "weight", "csv", "鮭"}
	for _, c := range []struct {
		word string
		want []string
	}{
		{"specis", []string{"species"}},
		{"tickness", []string{"thickness"}},
		{"wieght", []string{"weight"}},
		{"weigh", []string{"weight", "tray-weight"}},
		{"scale", []string{"scale-interval"}},
		{"csb", []string{"csv"}},
		{"we", nil}, // two letters are in many names
		{"frobnicate", nil},
		{"鮪", nil}, // no letter would stay
		{"", nil},
	} {
		if got := Like(c.word, names); !slices.Equal(got, c.want) {
			t.Errorf("%q is taken for %q, want %q", c.word, got, c.want)
		}
	}
}
