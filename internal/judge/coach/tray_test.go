package coach

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// nigiri is a target as common practice has it (no source): 80 x 35 mm, 12 g.
var nigiri = Target{75, 80, 85, 31, 35, 39, 10, 12, 14, 0.97, 0}

// hand is how a tray is cut: a block, the angles, the thickness and what the
// hand adds to each slice (uniform, half range).
type hand struct {
	width, height, theta, phi, thick float64
	dLength, dWidth, dThick          float64
	growLength                       float64 // first to last slice, mm
	triangles                        int
}

// good is a hand that makes slices that lie 80 x 35 mm, of 12 g at density 1.05:
// atan(5.05/35) + asin(20/35.36) = 42.65°, so that the face is 29.52 mm wide and
// the wall leans out over 5.48 mm; the end wall, 5.05 sin 42.65° = 3.42 mm, leans
// out as far at 45°, so that the face is 76.58 mm long, from 54.15 mm of block.
func good() hand {
	return hand{width: 54.15, height: 20, theta: 45, phi: 42.65, thick: 5.05, dLength: 1, dWidth: 0.8, dThick: 0.1}
}

// cut makes ten pieces by L = W / sin(theta), w = h / sin(phi) for the face, walls
// t / tan(phi) and t sin(phi) / tan(theta) beside it, and m = ρ L w t.
func (h hand) cut() []piece.Piece {
	rng := rand.New(rand.NewPCG(4, 80))
	jitter := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	var out []piece.Piece
	for i := range 10 {
		p := piece.Piece{Number: i + 1, Cover: piece.Of(1, 0)}
		theta, phi := h.theta*math.Pi/180, h.phi*math.Pi/180
		long := h.width/math.Sin(theta) + jitter(h.dLength) + h.growLength*(float64(i)/9-0.5)
		wide := h.height/math.Sin(phi) + jitter(h.dWidth)
		p.Thickness.X = h.thick + jitter(h.dThick)
		p.Length.X = long + p.Thickness.X*math.Sin(phi)/math.Tan(theta)
		p.Width.X = wide + p.Thickness.X/math.Tan(phi)
		p.Area.X = p.Length.X * p.Width.X
		p.Weight.X = 1.05e-3 * long * wide * p.Thickness.X
		if i < h.triangles {
			p.Taper.X, p.Triangular, p.Cover.X = 0.7, true, 0.9
			p.Width.X *= 0.75
			p.Area.X *= 0.75
			p.Weight.X *= 0.75
		}
		out = append(out, p)
	}
	return out
}

// Each tray has one known fault; the advice must name it first, with the angle
// or size that the closed forms give, and say nothing of the faults not there.
func TestTrayAdviceNamesTheFault(t *testing.T) {
	with := func(change func(*hand)) hand { h := good(); change(&h); return h }
	told := Cut{Theta: 45, Phi: 42.65, BlockWidth: 54.15, BlockHeight: 20}
	for _, c := range []struct {
		name string
		hand hand
		cut  Cut
		want []string // parts of the first sentence
	}{
		{"plan angle too steep, block known", with(func(h *hand) { h.theta = 60 }), told, []string{"all 10", "short", "cut at 45°"}},
		{"plan angle too steep, relative", with(func(h *hand) { h.theta = 60 }), Cut{Theta: 60}, []string{"all 10", "16 mm too short", "from 60° to 45°"}},
		{"plan angle too slanted, relative", with(func(h *hand) { h.theta = 38 }), Cut{Theta: 38}, []string{"all 10", "long", "from 38° to 45°"}},
		{"plan angle off, none told", with(func(h *hand) { h.width = 50 }), Cut{}, []string{"short", "more along the block", "about 10 % longer"}},
		{"block too wide", with(func(h *hand) { h.width, h.theta = 92, 90 }), Cut{BlockWidth: 92}, []string{"long", "no plan angle", "trim it or split"}},
		{"block too wide, relative", with(func(h *hand) { h.width, h.theta = 92, 90 }), Cut{Theta: 90}, []string{"long", "about 92 mm wide", "trim it or split"}},
		{"block too narrow", with(func(h *hand) { h.width, h.theta = 12, 20 }), Cut{BlockWidth: 12}, []string{"too narrow", "wider block"}},
		{"blade too upright, block known", with(func(h *hand) { h.phi = 60 }), told, []string{"narrow", "lay the blade to 43°"}},
		{"blade too upright, relative", with(func(h *hand) { h.phi = 60 }), Cut{Phi: 60}, []string{"narrow", "flatter, from 60° to 43°"}},
		{"blade too flat, relative", with(func(h *hand) { h.phi = 33 }), Cut{Phi: 33}, []string{"wide", "raise the blade from 33° to 43°"}},
		{"blade upright, nothing known", with(func(h *hand) { h.phi = 90 }), Cut{}, []string{"narrow", "lay the blade flatter", "about 75 % wider"}},
		{"block too high", with(func(h *hand) { h.height, h.phi = 41, 90 }), Cut{BlockHeight: 41}, []string{"wide", "no lay angle", "trim it or split"}},
		{"pitch too small", with(func(h *hand) { h.thick, h.dLength, h.dThick = 2.8, 0, 0 }), told, []string{"light", "cut 5.0 mm thick, not 2.8", "every 10.5 mm at 45°"}},
		{"pitch too large", with(func(h *hand) { h.thick = 6.4 }), told, []string{"heavy", "cut 5.0 mm thick, not 6.4"}},
		{"lengths scatter", with(func(h *hand) { h.dLength = 12 }), told, []string{"lengths differ by", "hold the block still", "one stroke"}},
		{"widths scatter", with(func(h *hand) { h.dWidth = 8 }), told, []string{"widths differ by", "same angle"}},
		{"thickness scatters", with(func(h *hand) { h.dThick = 1.5 }), told, []string{"weights at one size differ", "step between cuts even"}},
		{"lengths drift", with(func(h *hand) { h.growLength = 24 }), told, []string{"lengths go from 68 to 92", "turn the knife as you go", "from 37° to 5"}},
		{"triangles, block known", with(func(h *hand) { h.triangles = 6 }), told, []string{"6 of 10 slices are triangular", "start on the thick face", "at 43°", "lay it over to 21°"}},
		{"triangles, nothing known", with(func(h *hand) { h.triangles = 6 }), Cut{}, []string{"6 of 10 slices are triangular", "thick side away", "flatter towards the thin side"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := trayAdvice(c.hand.cut(), nigiri, c.cut)
			if len(got) == 0 {
				t.Fatal("no advice")
			}
			for _, want := range c.want {
				if !strings.Contains(got[0], want) {
					t.Errorf("first advice %q does not say %q", got[0], want)
				}
			}
			t.Logf("%s", strings.Join(got, "\n"))
		})
	}
}

// Two small end pieces among good ones are no fault of the hand; a tray of
// nothing else is.
func TestOddPieces(t *testing.T) {
	few := good().cut()
	few[2].Length.X, few[2].Width.X, few[2].Weight.X, few[2].Cover.X = 50, 22, 4.6, .6
	few[7].Width.X, few[7].Thickness.X, few[7].Weight.X, few[7].Cover.X = 19, 7.6, 12.1, .7
	got := trayAdvice(few, nigiri, Cut{})
	if len(got) != 1 || !containsAll(got[0], []string{"slice 8 is small but heavy enough: open it like a book", "slice 3 is too small for nigiri: set it aside"}) {
		t.Errorf("advice %q, want one sentence on pieces 3 and 8", got)
	}
	all := good()
	all.theta, all.phi = 90, 65
	if got := strings.Join(trayAdvice(all.cut(), nigiri, Cut{Theta: 90, Phi: 65}), "\n"); !containsAll(got, []string{"short", "from 90° to 45°", "narrow", "from 65° to 43°"}) {
		t.Errorf("advice %q, want both angles", got)
	}
}

// A slice too long and too thin weighs enough; once its length is right it will
// not.
func TestThinHiddenByLength(t *testing.T) {
	h := good()
	h.theta, h.thick = 36, 3.6
	got := strings.Join(trayAdvice(h.cut(), nigiri, Cut{Theta: 36, Phi: 42.65}), "\n")
	if !containsAll(got, []string{"long", "from 36° to 45°", "it will weigh 8.", "mm thick, not 3.6"}) {
		t.Errorf("advice %q, want the angle and the thickness", got)
	}
}

// The weight foretold is that of a tray cut as advised: 76.58 × 29.52 × 5.05 mm at
// 1.05e-3 g/mm³ are 12.0 g.
func TestForetoldWeight(t *testing.T) {
	h := good()
	h.phi, h.dLength, h.dThick = 33, 0, 0
	got := strings.Join(trayAdvice(h.cut(), nigiri, Cut{Theta: 45, Phi: 33}), "\n")
	if !containsAll(got, []string{"raise the blade from 33° to 43°", "it would weigh 12.0 g, so leave the thickness"}) {
		t.Errorf("advice %q, want 12.0 g", got)
	}
}

func TestGoodTrayNeedsNoAdvice(t *testing.T) {
	if got := trayAdvice(good().cut(), nigiri, Cut{}); got != nil {
		t.Errorf("a good tray got the advice %q", got)
	}
}

// trayAdvice is the tray's in English.
func trayAdvice(ps []piece.Piece, t Target, c Cut) []string {
	var out []string
	for _, says := range Tray(ps, t, c) {
		out = append(out, phrase.English().Must(says))
	}
	return out
}

// Every sentence for a tray holds a lesson that has steps and words; a koba that is
// missing, a ragged edge and a lean have one too.
func TestEverySentenceHoldsALesson(t *testing.T) {
	faulty := func(key string, n int) []piece.Piece {
		ps := good().cut()
		for i := range n {
			ps[i].Faults = []piece.Fault{{What: key}}
		}
		return ps
	}
	changed := func(change func(*hand)) []piece.Piece { h := good(); change(&h); return h.cut() }
	for want, ps := range map[string][]piece.Piece{
		"wide": changed(func(h *hand) { h.phi = 33 }), "narrow": changed(func(h *hand) { h.phi = 60 }),
		"long": changed(func(h *hand) { h.theta = 38 }), "short": changed(func(h *hand) { h.theta = 55 }),
		"lengths-drift": changed(func(h *hand) { h.growLength = 24 }), "lengths-even": changed(func(h *hand) { h.dLength = 12 }),
		piece.Triangular: changed(func(h *hand) { h.triangles = 5 }),
		piece.NoKoba:     faulty(piece.NoKoba, 9), piece.Ragged: faulty(piece.Ragged, 4),
	} {
		said := Tray(ps, nigiri, Cut{})
		if len(said) == 0 {
			t.Errorf("%s: nothing is said", want)
			continue
		}
		for i, says := range said {
			l, ok := LessonIn(says)
			switch {
			case !ok:
				t.Errorf("%s: no lesson in %q", want, phrase.English().Must(says))
			case i == 0 && l.Key != want:
				t.Errorf("%s: the lesson is %s, from %q", want, l.Key, phrase.English().Must(says))
			case len(l.Steps()) == 0 || !phrase.English().Has(l.Title()):
				t.Errorf("%s: the lesson %s has no steps or no words", want, l.Key)
			}
			for _, s := range l.Steps() {
				if !phrase.English().Has(s) {
					t.Errorf("%s: no words for %s", want, s)
				}
			}
		}
	}
}

// Every fault that a piece can have has the one lesson, whoever teaches it; what is
// too small is not to be trimmed.
func TestEveryFaultHasItsLesson(t *testing.T) {
	for _, m := range piece.Judged() {
		for _, key := range append([]string{m.Little, m.Much, piece.NoKoba}, m.Reasons...) {
			if l := (Lesson{Key: key}); key != "" && (len(l.Steps()) == 0 || !phrase.English().Has(l.Title())) {
				t.Errorf("no lesson for %q", key)
			}
		}
	}
	for _, language := range phrase.Languages() {
		for _, bad := range []string{"trim the block", "整え"} {
			if title := language.Word("lesson-small"); strings.Contains(title, bad) {
				t.Errorf("what is too small is to be trimmed: %q", title)
			}
		}
	}
}

func TestCommonFault(t *testing.T) {
	sure, close := piece.Fault{What: piece.Ragged}, piece.Fault{What: piece.NoKoba, Unsure: true}
	for want, ps := range map[string][]piece.Piece{
		"": {{}}, piece.Ragged: {{Faults: []piece.Fault{close, sure}}, {Faults: []piece.Fault{close}}}, piece.NoKoba: {{Faults: []piece.Fault{close}}},
	} {
		if got := Common(ps); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// What is said of one piece goes with what is said of its tray: where widths differ to
// either side, one is not told to raise the blade and the next to lay it flatter; where all
// are too wide, each is told what the tray is told.
func TestPieceSaysWhatItsTraySays(t *testing.T) {
	row := func(widths ...float64) (ps []piece.Piece) {
		for i, w := range widths {
			ps = append(ps, piece.Piece{Number: i + 1, Cover: piece.Of(1, 0), Length: piece.Of(80, 0.3), Width: piece.Of(w, 0.3), Area: piece.Of(80*w, 10)})
		}
		return ps
	}
	steady, turn := "off-wide widths-steady", "off-wide raise-or-trim"
	for name, c := range map[string]struct {
		tray []piece.Piece
		want string // of the first piece
	}{
		"to either side":            {row(43, 29, 36, 28, 42, 35), steady},
		"most too wide, and uneven": {row(47, 40, 42, 41, 48, 40), turn},
		"all too wide":              {row(44, 43, 44, 43), turn},
		"one by itself":             {row(44), turn},
		"narrower and narrower":     {row(40, 38.6, 37, 35.4, 33.6, 32, 30, 28), "off-wide lay-on"},
		"a triangle among uneven":   {append([]piece.Piece{{Number: 7, Length: piece.Of(80, 1), Width: piece.Of(42, 1), Taper: piece.Of(0.9, 0), Triangular: true, Cover: piece.Of(0.9, 0), Area: piece.Of(3000, 0)}}, row(43, 29, 36, 28, 42, 35)...), "off-wide taper-is-cause"},
	} {
		advice := Piece(c.tray[0], nigiri, Cut{})
		got := ""
		for _, a := range advice {
			if a.On == piece.Width {
				got = a.Within(Tray(c.tray, nigiri, Cut{})).Keys()
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q; the tray: %v", name, got, c.want, Tray(c.tray, nigiri, Cut{}))
		}
	}
	heavy := Advice{piece.Width, phrase.Of("off-wide").And(phrase.Of("raise-or-trim"), phrase.Of("also"), phrase.Of("will-weigh"))}
	if got := heavy.Within([]phrase.Text{phrase.Of("widths-scatter").And(phrase.Of("widths-steady"))}).Keys(); got != "off-wide widths-steady also will-weigh" {
		t.Errorf("with a weight that the size hides: %q", got)
	}
	uneven := []phrase.Text{phrase.Of("lengths-scatter").And(phrase.Of("lengths-steady"))}
	for _, says := range []phrase.Text{phrase.Of("too-small"), phrase.Of("open-up").And(phrase.Of("also"))} { // what to do with the piece itself
		if got := (Advice{piece.Length, says}).Within(uneven).Keys(); got != says.Keys() {
			t.Errorf("%q becomes %q", says.Keys(), got)
		}
	}
}

// "All" is the whole tray: two pieces that are no triangles, of six, are not.
func TestAllAreAll(t *testing.T) {
	var ps []piece.Piece
	for i := range 6 {
		ps = append(ps, piece.Piece{Number: i + 1, Length: piece.Of(60, 0.3), Width: piece.Of(35, 0.3), Area: piece.Of(2100, 10), Cover: piece.Of(1, 0)})
	}
	if got := Tray(ps, nigiri, Cut{})[0].Keys(); got != "who-all off-short turn-along" {
		t.Errorf("all too short: %q", got)
	}
	for i := range 4 {
		ps[i].Taper, ps[i].Triangular, ps[i].Cover = piece.Of(0.9, 0), true, piece.Of(0.9, 0)
	}
	if got := Tray(ps, nigiri, Cut{})[1].Keys(); got != "who-mean off-short turn-along" {
		t.Errorf("two that are no triangles too short: %q", got)
	}
}
