package coach

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

var angle = regexp.MustCompile(`(-?[0-9.e+]+)°`)

// Whatever numbers come in, no sentence holds a number that is none, and every
// angle is one that a blade can be held at.
func FuzzAdvice(f *testing.F) {
	f.Add(71.0, 35.0, 0.0, 1.0, 4.1, 10.7, false, 45.0, 35.0, 56.6, 20.0)
	f.Add(80.0, 26.0, 1.2, 0.8, 4.1, 8.0, true, 0.0, 0.0, 0.0, 24.0)
	f.Add(80.0, 19.0, 0.0, 0.7, 7.6, 12.1, false, 90.0, 20.0, 91.0, 43.0)
	f.Add(1e300, 1e-300, -3.0, -1.0, 1e-9, 1e9, true, 1.0, 1.0, 1e-200, 1e200)
	f.Fuzz(func(t *testing.T, length, width, taper, cover, thick, weight float64, triangular bool, theta, phi, blockWidth, blockHeight float64) {
		p := piece.Piece{Number: 1, Length: piece.Of(length, 0), Width: piece.Of(width, 0), Area: piece.Of(length*width, 0), Taper: piece.Of(taper, 0), Cover: piece.Of(cover, 0), Triangular: triangular, Thickness: piece.Of(thick, 0), Weight: piece.Of(weight, 0)}
		q, r := p, p
		q.Number, q.Length.X, q.Width.X = 2, 80, 35
		r.Number, r.Weight.X = 3, 12
		c := Cut{Theta: theta, Phi: phi, BlockWidth: blockWidth, BlockHeight: blockHeight}
		said := Tray([]piece.Piece{p, q, r}, nigiri, c)
		tray := said
		for _, a := range Piece(p, nigiri, c) {
			said = append(said, a.Text, a.Within(tray))
		}
		for _, says := range said {
			text := phrase.English().Must(says)
			if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
				t.Errorf("advice holds a number that is none: %q", text)
			}
			for _, m := range angle.FindAllStringSubmatch(text, -1) {
				if v, err := strconv.ParseFloat(m[1], 64); err != nil || v < 1 || v > 90 {
					t.Errorf("advice holds an angle that no blade can be held at: %q", text)
				}
			}
		}
	})
}
