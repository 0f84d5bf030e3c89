package serve

import "testing"

// A sentence begins large, in a language that has large letters.
func TestCapital(t *testing.T) {
	for in, want := range map[string]string{"": "", "all": "All", "éclair": "Éclair", "平均で": "平均で"} {
		if got := capital(in); got != want {
			t.Errorf("%q becomes %q", in, got)
		}
	}
}
