package coach

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

func TestPieceAdvice(t *testing.T) {
	known := Cut{Theta: 47, Phi: 35, BlockWidth: 56.6, BlockHeight: 20}
	for _, c := range []struct {
		name  string
		piece piece.Piece
		cut   Cut
		on    *piece.Measure
		want  []string
	}{
		{"good", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0), Thickness: piece.Of(4.1, 0), Weight: piece.Of(12, 0)}, known, nil, nil},
		{"short", piece.Piece{Length: piece.Of(71, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0)}, Cut{}, piece.Length, []string{"9 mm too short (71, aim 80)", "about 15 % longer"}},
		// 56.6/sin 41.5 + 4 sin 35 / tan 41.5 = 85.4 + 2.6 = 88.0
		{"long, though told right", piece.Piece{Length: piece.Of(88, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0)}, known, piece.Length, []string{"8 mm too long", "cut at 47°", "held at about 42°", "measure it again"}},
		{"shorter than the block is wide", piece.Piece{Length: piece.Of(50, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0)}, known, piece.Length, []string{"no knife cuts this", "measure the block again"}},
		// 20/sin 33.8 + 4/tan 33.8 = 36.0 + 6.0
		{"wide, though told right", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(42, 0), Cover: piece.Of(1, 0)}, Cut{Phi: 41, BlockHeight: 20}, piece.Width, []string{"41° from the board", "held at about 34°"}},
		{"wide", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(42, 0), Cover: piece.Of(1, 0)}, known, piece.Width, []string{"7 mm too wide", "41° from the board"}},
		{"small, yet it covers the rice", piece.Piece{Length: piece.Of(69, 0), Width: piece.Of(30, 0), Cover: piece.Of(1, 0), Thickness: piece.Of(4.2, 0), Weight: piece.Of(8.1, 0)}, known, piece.Width, []string{"5 mm too narrow"}},
		{"triangle, and small by it", piece.Piece{Length: piece.Of(62, 0), Width: piece.Of(26, 0), Taper: piece.Of(.9, 0), Triangular: true, Cover: piece.Of(.9, 0), Thickness: piece.Of(4.6, 0), Weight: piece.Of(8.5, 0), Area: piece.Of(1850, 0)}, known, piece.Cover, []string{"start on the thick face"}},
		{"thin", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0), Thickness: piece.Of(3, 0), Weight: piece.Of(8.8, 0)}, known, piece.Weight, []string{"cut 4.1 mm thick, not 3.0"}},
		{"thin, thickness not known", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0), Weight: piece.Of(9, 0)}, known, piece.Weight, []string{"cut 33 % thicker"}},
		{"light because short", piece.Piece{Length: piece.Of(62, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0), Thickness: piece.Of(4.1, 0), Weight: piece.Of(9.3, 0)}, known, piece.Weight, []string{"the size is the cause", "leave the thickness"}},
		{"narrow but heavy", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(20, 0), Cover: piece.Of(.7, 0), Thickness: piece.Of(7, 0), Weight: piece.Of(11.8, 0)}, known, piece.Width, []string{"open it like a book", "80 × 40 mm", "3.5 mm thick"}},
		{"short but heavy", piece.Piece{Length: piece.Of(40, 0), Width: piece.Of(35, 0), Cover: piece.Of(.6, 0), Thickness: piece.Of(8, 0), Weight: piece.Of(11.8, 0)}, known, piece.Length, []string{"open it like a book", "80 × 35 mm"}},
		{"small", piece.Piece{Length: piece.Of(50, 0), Width: piece.Of(22, 0), Cover: piece.Of(.5, 0), Thickness: piece.Of(4, 0), Weight: piece.Of(4.6, 0)}, known, piece.Length, []string{"set it aside"}},
		{"triangle", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(26, 0), Taper: piece.Of(1, 0), Triangular: true, Cover: piece.Of(.8, 0)}, known, piece.Cover, []string{"42 mm wide at one end and 10 at the other", "start on the thick face"}},
		{"triangle to a point", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(20, 0), Taper: piece.Of(1.6, 0), Triangular: true, Cover: piece.Of(.6, 0)}, known, piece.Cover, []string{"too thin for any lay angle above 15°"}},
		{"triangle from a high block", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(30, 0), Taper: piece.Of(.9, 0), Triangular: true, Cover: piece.Of(.8, 0)}, Cut{BlockHeight: 40}, piece.Cover, []string{"trim the thick side"}},
		{"ragged", piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(35, 0), Cover: piece.Of(.9, 0)}, known, piece.Cover, []string{"ragged", "one stroke"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Piece(c.piece, nigiri, c.cut)
			if c.on == nil {
				if got != nil {
					t.Fatalf("advice %v for a piece without fault", got)
				}
				return
			}
			for _, a := range got {
				if a.On == c.on && containsAll(phrase.English().Must(a.Text), c.want) {
					return
				}
			}
			t.Errorf("no advice for %s says %q; got %v", c.on.Key, c.want, got)
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
		p := piece.Piece{Length: piece.Of(1+size("length", 150), 0), Width: piece.Of(1+size("width", 80), 0), Taper: piece.Of(size("taper", 1.9), 0),
			Cover: piece.Of(size("cover", 1), 0), Thickness: piece.Of(size("thickness", 12), 0), Weight: piece.Of(size("weight", 40), 0), Triangular: rapid.Bool().Draw(t, "triangular")}
		p.Area = piece.Of(p.Length.X*p.Width.X, 0)
		c := Cut{Theta: size("theta", 90), Phi: size("phi", 90), BlockWidth: size("block width", 120), BlockHeight: size("block height", 50)}
		got := Piece(p, nigiri, c)
		if f := faultsOf(p, nigiri); f.none() != (got == nil) {
			t.Fatalf("faults %+v, advice %v", f, got)
		}
		for _, a := range append(got, asAdvice(Tray([]piece.Piece{p, p, p}, nigiri, c))...) {
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
	for _, a := range Piece(piece.Piece{Length: piece.Of(math.NaN(), 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0)}, nigiri, Cut{}) {
		t.Errorf("advice on a length that is no number: %v", a.Text)
	}
}

// The closed form of the skew against the geometry it stands for: the angle in
// the cut plane between the knife's line and where the plane meets the bar's
// upright side.
func TestSkewOfAFace(t *testing.T) {
	for _, c := range [][2]float64{{90, 30}, {45, 90}, {45, 45}, {60, 35}, {30, 70}, {47, 42}} {
		st, ct := math.Sincos(c[0] * math.Pi / 180)
		sp, cp := math.Sincos(c[1] * math.Pi / 180)
		knife := r3.Vec{X: ct, Y: st}
		down := r3.Vec{X: -cp * st, Y: cp * ct, Z: -sp}
		end := r3.Unit(r3.Cross(r3.Cross(knife, down), r3.Vec{Y: 1})) // in the plane and in the side y = 0
		want := math.Abs(math.Asin(r3.Dot(knife, end))) * 180 / math.Pi
		if got := Skew(c[0], c[1]); math.Abs(got-want) > 1e-9 {
			t.Errorf("plan angle %g°, lay angle %g°: %.6g°, the planes meet at %.6g°", c[0], c[1], got, want)
		}
	}
}

// Advice on a skew: with the angles told the blade that leaves the greatest skew
// asked, else how they change it; none where the house asks for none.
func TestSkewAdvice(t *testing.T) {
	p := piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0), Skew: piece.Of(30, 1)}
	house := nigiri
	house.SkewHigh = 15
	for _, c := range []struct {
		target Target
		cut    Cut
		want   []string
	}{
		{nigiri, Cut{Theta: 45, Phi: 40}, nil},
		{house, Cut{}, []string{"leans 30° from a rectangle (at most 15°)", "raise the blade or cut squarer"}},
		{house, Cut{Theta: 45, Phi: 40}, []string{"at 45° to the block's long axis it takes a blade at 74° or more"}}, // cos 74.5° = tan 15° tan 45°
	} {
		got := Piece(p, c.target, c.cut)
		if c.want == nil && got != nil || c.want != nil && (len(got) != 1 || got[0].On != piece.Skew || !containsAll(phrase.English().Must(got[0].Text), c.want)) {
			t.Errorf("%+v: %v, want %q", c.cut, got, c.want)
		}
	}
}

// A piece twice as wide as asked is no fault of the blade: its weight tells what it
// is, else it is asked. The tray's advice and its lesson are those of the others.
func TestOpenedLikeABook(t *testing.T) {
	wide := func(weight float64) piece.Piece {
		return piece.Piece{Number: 3, Length: piece.Of(80, 0), Width: piece.Of(70, 0), Cover: piece.Of(1, 0), Weight: piece.Of(weight, 0), Faults: []piece.Fault{{What: "width"}}}
	}
	long := wide(0)
	long.Length.X, long.Width.X = 158, 35
	for want, p := range map[string]piece.Piece{
		"70 mm wide, twice what is asked (35): was it opened like a book": wide(0),
		"as heavy as one slice: it was opened like a book":                wide(12.5),
		"are these two slices edge to edge? Lay them apart":               wide(24),
		"158 mm long, twice what is asked (80): was it opened":            long,
	} {
		got := Piece(p, nigiri, Cut{})
		if len(got) == 0 || !strings.Contains(phrase.English().Must(got[0].Text), want) {
			t.Errorf("%v, want %q", got, want)
			continue
		}
		for _, a := range got[1:] {
			if a.On == got[0].On {
				t.Errorf("the knife is blamed, too: %q", phrase.English().Must(a.Text))
			}
		}
	}
	few := good().cut()
	few[4] = wide(0)
	if got := trayAdvice(few, nigiri, Cut{}); len(got) > 0 {
		t.Errorf("one opened slice among good ones: %q", got)
	}
	asked := wide(0)
	asked.Faults[0].Says = Piece(asked, nigiri, Cut{})[0].Text
	if got := Common([]piece.Piece{asked}); got != "" {
		t.Errorf("the lesson on an opened slice is %q", got)
	}
	if wider := (piece.Piece{Length: piece.Of(80, 0), Width: piece.Of(55, 0), Cover: piece.Of(1, 0)}); doubled(wider, nigiri) != nil {
		t.Error("a slice half as wide again is taken for an opened one")
	}
}
