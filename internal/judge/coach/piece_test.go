package coach

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/phrase"
)

func TestPieceAdvice(t *testing.T) {
	known := Cut{Theta: 47, Phi: 35, BlockWidth: 56.6, BlockHeight: 20}
	for _, c := range []struct {
		name  string
		piece PieceIn
		cut   Cut
		fault string
		want  []string
	}{
		{"good", PieceIn{Length: 80, Width: 35, RiceCover: 1, Thickness: 4.1, Weight: 12}, known, "", nil},
		{"short", PieceIn{Length: 71, Width: 35, RiceCover: 1}, Cut{}, FaultLength, []string{"9 mm too short (71, aim 80)", "from 45° to 39°"}},
		// 56.6/sin 41.5 + 4 sin 35 / tan 41.5 = 85.4 + 2.6 = 88.0
		{"long, though told right", PieceIn{Length: 88, Width: 35, RiceCover: 1}, known, FaultLength, []string{"8 mm too long", "cut at 47°", "held at about 42°", "measure it again"}},
		{"shorter than the block is wide", PieceIn{Length: 50, Width: 35, RiceCover: 1}, known, FaultLength, []string{"no knife cuts this", "measure the block again"}},
		// 20/sin 33.8 + 4/tan 33.8 = 36.0 + 6.0
		{"wide, though told right", PieceIn{Length: 80, Width: 42, RiceCover: 1}, Cut{Phi: 41, BlockHeight: 20}, FaultWidth, []string{"41° from the board", "held at about 34°"}},
		{"wide", PieceIn{Length: 80, Width: 42, RiceCover: 1}, known, FaultWidth, []string{"7 mm too wide", "41° from the board"}},
		{"small, yet it covers the rice", PieceIn{Length: 69, Width: 30, RiceCover: 1, Thickness: 4.2, Weight: 8.1}, known, FaultWidth, []string{"5 mm too narrow"}},
		{"triangle, and small by it", PieceIn{Length: 62, Width: 26, Taper: .9, Triangular: true, RiceCover: .9, Thickness: 4.6, Weight: 8.5, Area: 1850}, known, FaultCover, []string{"start on the thick face"}},
		{"thin", PieceIn{Length: 80, Width: 35, RiceCover: 1, Thickness: 3, Weight: 8.8}, known, FaultWeight, []string{"cut 4.1 mm thick, not 3.0"}},
		{"thin, thickness not known", PieceIn{Length: 80, Width: 35, RiceCover: 1, Weight: 9}, known, FaultWeight, []string{"cut 33 % thicker"}},
		{"light because short", PieceIn{Length: 62, Width: 35, RiceCover: 1, Thickness: 4.1, Weight: 9.3}, known, FaultWeight, []string{"the size is the cause", "leave the thickness"}},
		{"narrow but heavy", PieceIn{Length: 80, Width: 20, RiceCover: .7, Thickness: 7, Weight: 11.8}, known, FaultWidth, []string{"open it like a book", "80 × 40 mm", "3.5 mm thick"}},
		{"short but heavy", PieceIn{Length: 40, Width: 35, RiceCover: .6, Thickness: 8, Weight: 11.8}, known, FaultLength, []string{"open it like a book", "80 × 35 mm"}},
		{"small", PieceIn{Length: 50, Width: 22, RiceCover: .5, Thickness: 4, Weight: 4.6}, known, FaultLength, []string{"set it aside"}},
		{"triangle", PieceIn{Length: 80, Width: 26, Taper: 1, Triangular: true, RiceCover: .8}, known, FaultCover, []string{"42 mm wide at one end and 10 at the other", "start on the thick face"}},
		{"triangle to a point", PieceIn{Length: 80, Width: 20, Taper: 1.6, Triangular: true, RiceCover: .6}, known, FaultCover, []string{"too thin for any lay angle above 15°"}},
		{"triangle from a high block", PieceIn{Length: 80, Width: 30, Taper: .9, Triangular: true, RiceCover: .8}, Cut{BlockHeight: 40}, FaultCover, []string{"trim the thick side"}},
		{"ragged", PieceIn{Length: 80, Width: 35, RiceCover: .9}, known, FaultCover, []string{"ragged", "one stroke"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Piece(c.piece, nigiri, c.cut)
			if c.fault == "" {
				if got != nil {
					t.Fatalf("advice %v for a piece without fault", got)
				}
				return
			}
			for _, a := range got {
				if a.Fault == c.fault && containsAll(phrase.English().Must(a.Text), c.want) {
					return
				}
			}
			t.Errorf("no advice for %q says %q; got %v", c.fault, c.want, got)
		})
	}
}

func containsAll(s string, parts []string) bool {
	for _, p := range parts {
		if !strings.Contains(s, p) {
			return false
		}
	}
	return true
}

// Whatever is measured, no sentence holds a number that is none, and each
// fault that is there is spoken of.
func TestPieceAlwaysHasAnAnswer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := func(name string, high float64) float64 { return rapid.Float64Range(0, high).Draw(t, name) }
		p := PieceIn{Length: 1 + size("length", 150), Width: 1 + size("width", 80), Taper: size("taper", 1.9),
			RiceCover: size("cover", 1), Thickness: size("thickness", 12), Weight: size("weight", 40), Triangular: rapid.Bool().Draw(t, "triangular")}
		p.Area = p.Length * p.Width
		c := Cut{Theta: size("theta", 90), Phi: size("phi", 90), BlockWidth: size("block width", 120), BlockHeight: size("block height", 50)}
		got := Piece(p, nigiri, c)
		if f := faultsOf(p, nigiri); f.none() != (got == nil) {
			t.Fatalf("faults %+v, advice %v", f, got)
		}
		for _, a := range append(got, asAdvice(Tray([]PieceIn{p, p, p}, nigiri, c))...) {
			if text := phrase.English().Must(a.Text); strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
				t.Fatalf("advice holds a number that is none: %q", text)
			}
		}
	})
}

func asAdvice(texts []phrase.Text) (out []Advice) {
	for _, s := range texts {
		out = append(out, Advice{Text: s})
	}
	return out
}

func TestNaNIsNoFaultOfTheKnife(t *testing.T) {
	for _, a := range Piece(PieceIn{Length: math.NaN(), Width: 35, RiceCover: 1}, nigiri, Cut{}) {
		t.Errorf("advice on a length that is no number: %v", a.Text)
	}
}
