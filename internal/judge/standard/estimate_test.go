package standard

import "testing"

// A quarter of the white fish's band of 10 to 12 g is 0.5 g: what is told of a whole
// tray tells one slice from the next only below it.
func TestTellsApart(t *testing.T) {
	s := Default()
	for u, want := range map[float64]bool{0.1: true, 0.49: true, 0.5: false, 3.9: false} {
		if got := s.TellsApart(u, "white"); got != want {
			t.Errorf("U of %g g tells slices apart: %v", u, got)
		}
	}
}
