package serve

import (
	"fmt"
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
)

// Whatever the coach says, the Japanese pages say it too, with all its numbers.
func TestCoachSpeaksJapanese(t *testing.T) {
	for key, english := range coach.Keys() {
		numbers := make([]float64, strings.Count(strings.ReplaceAll(english, "%%", ""), "%"))
		for i := range numbers {
			numbers[i] = float64(11 * (i + 1))
		}
		said, ok := japanese.advice("", phrase.Of(key, numbers...))
		if !ok {
			t.Errorf("%s: no Japanese for %q", key, english)
			continue
		}
		for _, n := range numbers {
			if !strings.Contains(said, fmt.Sprint(n)) {
				t.Errorf("%s: %q does not say number %v of %q", key, said, n, english)
			}
		}
		if strings.Contains(said, "%!") {
			t.Errorf("%s: %q", key, said)
		}
	}
	for key := range coachWords {
		if _, ok := coach.Keys()[key]; !ok {
			t.Errorf("the coach never says %s", key)
		}
	}
}

// A sentence begins large, in a language that has large letters.
func TestCapital(t *testing.T) {
	for in, want := range map[string]string{"": "", "all": "All", "éclair": "Éclair", "平均で": "平均で"} {
		if got := capital(in); got != want {
			t.Errorf("%q becomes %q", in, got)
		}
	}
}
