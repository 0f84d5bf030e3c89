package grade

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

func slice(n int, length, width float64, faults ...piece.Fault) piece.Piece {
	v := piece.Pass
	for _, f := range faults {
		if v = piece.Unsure; !f.Unsure {
			v = piece.Fail
			break
		}
	}
	return piece.Piece{Number: n, State: piece.Measured, Length: piece.Of(length, 0), Width: piece.Of(width, 0), Cover: piece.Of(1, 0), Verdict: v, Faults: faults}
}

func tray(file string, pieces ...piece.Piece) Tray {
	return Tray{File: file, Report: piece.Tray{Status: piece.TrayMeasured, Pieces: pieces}}
}

func criterion(t *testing.T, g Grade, name string) Criterion {
	t.Helper()
	for _, c := range g.Criteria {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no criterion %q in %+v", name, g)
	return Criterion{}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9 {
		t.Errorf("%s = %g, want %g", what, got, want)
	}
}

// Five slices, reckoned by hand: 4 of 5 within length (a doubtful one counts),
// 5 of 5 width, no weights, 3 of 5 cover; lengths 76 78 80 82 84 have sd √10
// and CV 3.953 %, widths are all 35, so evenness is (15 − 1.976)/(15 − 3) > 1,
// all points; 5 is a stack of five, where the house asks for stacks; 5 slices in
// 2.5 minutes are 2 of 4 a minute.
func TestGradeByHand(t *testing.T) {
	tr := tray("a.jpg",
		slice(1, 76, 35, piece.Fault{What: "length", Unsure: true}),
		slice(2, 78, 35, piece.Fault{What: "length"}),
		slice(3, 80, 35),
		slice(4, 82, 35, piece.Fault{What: "triangular"}),
		slice(5, 84, 35, piece.Fault{What: "ragged"}))
	house := standard.Default()
	house.Grading.Count = 5
	g := Of([]Tray{tr}, 2.5, house)
	for name, want := range map[string]float64{"length": 16, "width": 20, "cover": 12, "evenness": 15, "count": 5, "pace": 2.5} {
		near(t, name, criterion(t, g, name).Points, want)
	}
	if c := criterion(t, g, "weight"); c.Judged || c.Points != 0 || c.Why == nil {
		t.Errorf("weight without data: %+v", c)
	}
	near(t, "points", g.Points, 70.5)
	near(t, "to be had", g.Of, 85)
	if c := criterion(t, g, "length"); len(c.Outside) != 1 || c.Outside[0] != (Ref{"a.jpg", 2}) {
		t.Errorf("length is traced to %v", c.Outside)
	}
}

// Evenness between the two limits: lengths 70, 80, 90 have CV 10/80 = 12.5 %,
// widths 35 none: mean 6.25 %, (15 − 6.25) / 12 of the points.
func TestEvenness(t *testing.T) {
	g := Of([]Tray{tray("a.jpg", slice(1, 70, 35), slice(2, 80, 35), slice(3, 90, 35))}, 0, standard.Default())
	near(t, "evenness", criterion(t, g, "evenness").Share, 8.75/12)
	if c := criterion(t, Of([]Tray{tray("a.jpg", slice(1, 70, 35), slice(2, 80, 35))}, 0, standard.Default()), "evenness"); c.Judged {
		t.Error("two slices have no spread worth a grade")
	}
}

func TestOverrides(t *testing.T) {
	touching := piece.Piece{Number: 3, State: piece.Touching}
	card := piece.Piece{Number: 4, State: piece.Foreign}
	tr := tray("a.jpg", slice(1, 80, 35), slice(2, 20, 10, piece.Fault{What: "length"}), touching, card)
	if n, sure := tr.Count(); n != 2 || sure {
		t.Errorf("count %d, sure %v; a touching piece leaves it open", n, sure)
	}
	tr.Overrides = map[int]piece.Override{2: {Kind: piece.NotASlice, Reason: "a scrap of skin"}, 3: {Kind: piece.CountIt, Reason: "one butterflied slice"}}
	if n, sure := tr.Count(); n != 2 || !sure {
		t.Errorf("count %d, sure %v after the overrides", n, sure)
	}
	g := Of([]Tray{tr}, 0, standard.Default())
	if c := criterion(t, g, "length"); !c.Judged || c.Share != 0.5 || len(c.Within) != 1 || c.Hidden != 1 {
		t.Errorf("the scrap still counts, or the touching piece was given numbers: %+v", c)
	}
}

// An override is of the slice that lies where it lay, and of none that lies farther off
// than a quarter of a slice's width of 35 mm.
func TestOverrideGoesByPlace(t *testing.T) {
	at := func(x float64) []piece.Piece {
		return []piece.Piece{{Number: 7, Outline: [][2]float64{{x - 5, 0}, {x + 5, 0}, {x + 5, 10}, {x - 5, 10}}}}
	}
	said := []piece.Override{{Piece: 1, At: [2]float64{50, 5}, Kind: piece.SaidGood}}
	for off, holds := range map[float64]bool{0: true, 8: true, -8: true, 10: false, 30: false} {
		got, err := Overrides(at(50+off), said)
		if (got[7].Kind == piece.SaidGood) != holds || (err == nil) != holds {
			t.Errorf("%g mm off: %+v, %v", off, got, err)
		}
	}
}

// What a person says of a slice counts in place of what was measured, by hand: of
// three slices, one too long, the fault is waved through and a good one is to be cut
// again, so 2 of 3 are within every measure; undone, length alone has 2 of 3.
func TestSaidVerdicts(t *testing.T) {
	tr := tray("a.jpg", slice(1, 80, 35), slice(2, 90, 35, piece.Fault{What: "length"}), slice(3, 80, 35))
	tr.Overrides = map[int]piece.Override{2: {Kind: piece.SaidGood}, 3: {Kind: piece.SaidAgain}}
	if c := Verdicts(tr); c.Good != 2 || c.Again != 1 {
		t.Errorf("verdicts %+v", c)
	}
	g := Of([]Tray{tr}, 0, standard.Default())
	for _, name := range []string{"length", "width", "cover"} {
		c := criterion(t, g, name)
		near(t, name, c.Share, 2.0/3)
		if len(c.Outside) != 1 || c.Outside[0].Number != 3 {
			t.Errorf("%s: outside are %v, want the one that was said", name, c.Outside)
		}
	}
	if s := Slices([]Tray{tr}); s[1].Found != piece.Fail || s[1].Verdict != piece.Pass || s[2].Found != piece.Pass {
		t.Errorf("what was measured is lost: %+v", s)
	}
	tr.Overrides = nil
	g = Of([]Tray{tr}, 0, standard.Default())
	near(t, "length", criterion(t, g, "length").Share, 2.0/3)
	near(t, "width", criterion(t, g, "width").Share, 1)
}

// square is an outline of n × 100 mm².
func square(n float64) [][2]float64 { return [][2]float64{{0, 0}, {10 * n, 0}, {10 * n, 10}, {0, 10}} }

// Hiding slices never pays: a heap of touching slices counts as those that its
// area holds, two at the least, and all of them as failed; a house may leave them
// out, and a person may say that they are no slices.
func TestHidden(t *testing.T) {
	good := func(n int) piece.Piece {
		p := slice(n, 80, 35)
		p.Area = piece.Of(100, 0)
		return p
	}
	for name, c := range map[string]struct {
		piece piece.Piece
		want  int
	}{
		"three in a heap":  {piece.Piece{Number: 4, State: piece.Touching, Outline: square(2.8)}, 3},
		"two, overlapping": {piece.Piece{Number: 4, State: piece.Touching, Outline: square(1.3)}, 2},
		"no outline":       {piece.Piece{Number: 4, State: piece.Touching}, 2},
		"over the border":  {piece.Piece{Number: 4, State: piece.CutOff, Outline: square(0.4)}, 1},
		"a tool":           {piece.Piece{Number: 4, State: piece.Foreign, Outline: square(3)}, 0},
	} {
		tr := tray("a.jpg", good(1), good(2), good(3), c.piece)
		for _, name := range []string{"length", "width", "cover", "evenness"} {
			got := criterion(t, Of([]Tray{tr}, 0, standard.Default()), name)
			near(t, c.piece.Reason+name, got.Share, 3/(3+float64(c.want)))
		}
		if got := Hidden([]Tray{tr}); got != c.want {
			t.Errorf("%s: %d hidden slices, want %d", name, got, c.want)
		}
		lenient := standard.Default()
		lenient.Grading.Unmeasured = standard.UnmeasuredLeftOut
		near(t, name+", left out", criterion(t, Of([]Tray{tr}, 0, lenient), "length").Share, 1)
		tr.Overrides = map[int]piece.Override{4: {Kind: piece.NotASlice, Reason: "skin"}}
		if got := Hidden([]Tray{tr}); got != 0 {
			t.Errorf("%s: %d hidden slices, though a person said it is none", name, got)
		}
	}
}

// One fault, one loss.
func TestOneLoss(t *testing.T) {
	low, high := 75.0, 85.0
	f := func(what string, measured float64) piece.Fault {
		return piece.Fault{What: what, Measured: measured, Low: &low, High: &high}
	}
	for name, c := range map[string]struct {
		triangular bool
		faults     []piece.Fault
		loses      string
	}{
		"a triangle":               {true, []piece.Fault{f("length", 70), f("width", 70), f("weight", 70), f(piece.Triangular, 70)}, "cover"},
		"short, so light and bare": {false, []piece.Fault{f("length", 70), f("weight", 70), f(piece.Small, 70)}, "length"},
		"long, so heavy":           {false, []piece.Fault{f("length", 90), f("weight", 90)}, "length"},
		"long and yet light":       {false, []piece.Fault{f("length", 90), f("weight", 70)}, "length weight"},
		"short and narrow":         {false, []piece.Fault{f("length", 70), f("width", 70)}, "length width"},
		"ragged":                   {false, []piece.Fault{f("length", 70), f(piece.Ragged, 70)}, "length cover"},
		"light by itself":          {false, []piece.Fault{f("weight", 70)}, "weight"},
	} {
		p := slice(1, 80, 35, c.faults...)
		p.Weight, p.Triangular = piece.Of(12, 0), c.triangular
		var loses []string
		for _, x := range Of([]Tray{tray("a.jpg", p)}, 0, standard.Default()).Criteria {
			if len(x.Outside) > 0 {
				loses = append(loses, x.Name)
			}
		}
		if got := strings.Join(loses, " "); got != c.loses {
			t.Errorf("%s loses in %q, want %q", name, got, c.loses)
		}
	}
}

// An estimate of weight is nobody's weight: no criterion, and no evenness of it.
func TestEstimateHasNoPoints(t *testing.T) {
	var ps []piece.Piece
	for n := range 4 {
		p := slice(n+1, 80, 35)
		p.Weight = piece.Of(8+4*float64(n), 0.1)
		ps = append(ps, p)
	}
	known := Of([]Tray{tray("a.jpg", ps...)}, 0, standard.Default())
	if c := criterion(t, known, "evenness"); !criterion(t, known, "weight").Judged || c.Share > 0.9 {
		t.Errorf("weights of 8 to 20 g count as even: %+v", c)
	}
	for i := range ps {
		ps[i].Weight.Estimate = true
	}
	g := Of([]Tray{tray("a.jpg", ps...)}, 0, standard.Default())
	if criterion(t, g, "weight").Judged || criterion(t, g, "evenness").Share != 1 {
		t.Errorf("estimates earn or cost points: %+v", g)
	}
}

// No photo, or a refused one, gives no grade rather than a bad one.
func TestNothingMeasured(t *testing.T) {
	for name, trays := range map[string][]Tray{
		"none": nil, "refused": {{File: "a.jpg", Report: piece.Tray{Status: piece.TrayRefused}}},
	} {
		g := Of(trays, 10, standard.Default())
		if p, ok := g.Percent(); ok {
			t.Errorf("%s: %g percent out of nothing: %+v", name, p, g)
		}
	}
}

// Whatever comes, points lie between none and all, and every measured slice
// speaks for or against each criterion that is a share of slices.
func TestGradeIsBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var trays []Tray
		for i := range rapid.IntRange(0, 3).Draw(t, "trays") {
			var pieces []piece.Piece
			for n := range rapid.IntRange(0, 8).Draw(t, "pieces") {
				p := slice(n+1, rapid.Float64Range(20, 150).Draw(t, "length"), rapid.Float64Range(10, 60).Draw(t, "width"))
				if rapid.Bool().Draw(t, "faulty") {
					p.Faults = []piece.Fault{{What: rapid.SampledFrom([]string{"length", "width", "weight", "small", "koba"}).Draw(t, "what")}}
				}
				pieces = append(pieces, p)
			}
			trays = append(trays, tray(fmt.Sprint(i), pieces...))
		}
		g := Of(trays, rapid.Float64Range(0, 100).Draw(t, "minutes"), standard.Default())
		for _, c := range g.Criteria {
			if c.Points < 0 || c.Points > float64(c.Of) || math.IsNaN(c.Points) {
				t.Fatalf("%s: %g of %d points", c.Name, c.Points, c.Of)
			}
			if c.Name == "length" && len(c.Within)+len(c.Outside) != len(Slices(trays)) {
				t.Fatalf("%d slices, traced to %v and %v", len(Slices(trays)), c.Within, c.Outside)
			}
		}
		if g.Points > g.Of {
			t.Fatalf("%g of %g points", g.Points, g.Of)
		}
	})
}

// A tray counts where it holds a multiple of the stack: five and ten, not six,
// though that is five or more.
func TestCountIsOfWholeStacks(t *testing.T) {
	house := standard.Default()
	house.Grading.Count, house.Grading.Stack = 5, 5
	for n, want := range map[int]float64{4: 0, 5: 1, 6: 0, 9: 0, 10: 1} {
		var pieces []piece.Piece
		for i := range n {
			pieces = append(pieces, slice(i+1, 80, 35))
		}
		if c := criterion(t, Of([]Tray{tray("a.jpg", pieces...)}, 0, house), "count"); !c.Judged || c.Share != want {
			t.Errorf("%d slices: %+v, want a share of %g", n, c, want)
		}
	}
}
