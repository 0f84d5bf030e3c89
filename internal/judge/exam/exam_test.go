package exam

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
)

// Names here are invented.
var noon = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

func minutes(n float64) time.Time { return noon.Add(time.Duration(n * float64(time.Minute))) }

var task = Task{Name: "Autumn", Ticket: "abc", Species: "salmon", Trays: 2, Slices: 5, Minutes: 30, Mark: 0.8, Close: true}

// seen are pieces by a letter each: good, again, close, hidden, foreign; 2 is a heap of two.
func seen(letters string) (out []Seen) {
	for i, r := range letters {
		s := Seen{Piece: i + 1, Slices: 1}
		switch r {
		case 'g':
			s.Verdict = piece.Pass
		case 'a':
			s.Verdict = piece.Fail
		case 'c':
			s.Verdict = piece.Unsure
		case 'f':
			s.Slices = 0
		case '2':
			s.Slices = 2
		}
		out = append(out, s)
	}
	return out
}

// words are those of an instructor by a letter a piece: good, again, no slice.
func words(letters string) map[int]string {
	out := map[int]string{}
	for i, r := range letters {
		out[i+1] = map[rune]string{'g': piece.SaidGood, 'a': piece.SaidAgain, 'n': piece.NotASlice}[r]
	}
	return out
}

func begun(numbers ...int) []Act {
	out := []Act{{Kind: SetUp, At: noon, By: "Mori", Task: &task}}
	for _, n := range numbers {
		out = append(out, Act{Kind: Entered, At: noon, Number: n, Sealed: Seal("salt", fmt.Sprint(n))})
	}
	return append(out, Act{Kind: Begun, At: noon, By: "Mori"})
}

func sent(number, place int, at time.Time, letters string) Act {
	return Act{Kind: Sent, At: at, Number: number, Tray: &Tray{Place: place, Photo: fmt.Sprintf("%d-%d-%s", number, place, letters), Received: at, Pieces: seen(letters)}}
}

func judged(by string, of Act, letters string) Act {
	return Act{Kind: Judged, At: of.At, By: by, Number: of.Number, Place: of.Tray.Place, Photo: of.Tray.Photo, Words: words(letters)}
}

func must(t *testing.T, acts ...Act) *Exam {
	t.Helper()
	e, err := Of(acts)
	fatal.If(t, err)
	return e
}

// What a slice counts as, from the two instructors' words and the measurement: each
// row by hand from the rule.
func TestSays(t *testing.T) {
	for _, c := range []struct {
		seen, a, b string // one letter; - for an instructor who has not spoken
		closeGood  bool
		want       string
	}{
		{"a", "g", "g", true, piece.SaidGood},
		{"g", "a", "a", true, piece.SaidAgain},
		{"g", "n", "n", true, piece.NotASlice},
		{"h", "g", "g", true, piece.SaidGood},
		{"f", "g", "g", true, piece.SaidGood},
		{"g", "g", "a", true, piece.SaidGood},
		{"a", "g", "a", true, piece.SaidAgain},
		{"g", "a", "-", true, piece.SaidGood},
		{"a", "g", "-", true, piece.SaidAgain},
		{"c", "g", "a", true, piece.SaidGood},
		{"c", "g", "a", false, piece.SaidAgain},
		{"h", "g", "a", true, piece.SaidAgain},
		{"h", "n", "g", true, piece.SaidAgain},
		{"f", "g", "n", true, piece.NotASlice},
		{"g", "-", "-", true, piece.SaidGood},
		{"h", "-", "-", true, piece.SaidAgain},
	} {
		one := task
		one.Close = c.closeGood
		acts := begun(417)
		acts[0].Task = &one
		tray := sent(417, 1, minutes(5), c.seen)
		other := sent(417, 2, minutes(5), "g") // on which both speak, so that both are known
		acts = append(acts, tray, other, judged("Mori", other, "g"), judged("Sato", other, "g"))
		for who, letter := range map[string]string{"Mori": c.a, "Sato": c.b} {
			if letter != "-" {
				acts = append(acts, judged(who, tray, letter))
			}
		}
		e := must(t, acts...)
		got, _ := e.Tray(417, 1)
		if says := e.Says(got, got.Pieces[0]); says != c.want {
			t.Errorf("measured %s, words %s and %s, close is good %v: %s, want %s", c.seen, c.a, c.b, c.closeGood, says, c.want)
		}
	}
}

// Slices and trays that are not there, a heap, one too many, a late tray: counted by
// hand.
func TestResultsCountWhatIsMissing(t *testing.T) {
	late := sent(230, 2, minutes(31), "ggggg")
	for name, c := range map[string]struct {
		acts     []Act
		good, of int
	}{
		"all there":         {[]Act{sent(230, 1, minutes(9), "ggggg"), sent(230, 2, minutes(30), "gggga")}, 9, 10},
		"one tray missing":  {[]Act{sent(230, 1, minutes(9), "ggggg")}, 5, 10},
		"two slices short":  {[]Act{sent(230, 1, minutes(9), "ggg"), sent(230, 2, minutes(9), "ggggg")}, 8, 10},
		"one more":          {[]Act{sent(230, 1, minutes(9), "gggggg"), sent(230, 2, minutes(9), "ggggg")}, 11, 11},
		"a heap of two":     {[]Act{sent(230, 1, minutes(9), "gggg2"), sent(230, 2, minutes(9), "ggggg")}, 9, 11},
		"a knife lies by":   {[]Act{sent(230, 1, minutes(9), "gggggf"), sent(230, 2, minutes(9), "ggggg")}, 10, 10},
		"late":              {[]Act{sent(230, 1, minutes(9), "ggggg"), late}, 5, 10},
		"late and allowed":  {[]Act{sent(230, 1, minutes(9), "ggggg"), late, {Kind: Allowed, By: "Mori", Number: 230, Place: 2, Photo: late.Tray.Photo, Reason: "the Wi-Fi was down"}}, 10, 10},
		"photographed anew": {[]Act{sent(230, 1, minutes(9), "aaaaa"), sent(230, 2, minutes(9), "ggggg"), sent(230, 1, minutes(10), "ggggg")}, 10, 10},
		"nothing sent":      {nil, 0, 10},
	} {
		e := must(t, append(begun(230), c.acts...)...)
		r := e.Results().Results[0]
		if r.Good != c.good || r.Of != c.of {
			t.Errorf("%s: %d of %d, want %d of %d", name, r.Good, r.Of, c.good, c.of)
		}
		if share := float64(c.good) / float64(c.of); r.Passes != (share >= task.Mark) || !(r.Low <= share && share <= r.High) {
			t.Errorf("%s: %+v against the mark %v", name, r, task.Mark)
		}
	}
}

// 10 of 10 good show a share above 0.8 with 1 - 0.8^10 = 89.3 % confidence, and lie
// between 69.15 % and 100 % (Clopper and Pearson, as tables have it; 0.025^(1/10)).
func TestResultStatesItsConfidence(t *testing.T) {
	e := must(t, append(begun(230), sent(230, 1, minutes(9), "ggggg"), sent(230, 2, minutes(9), "ggggg"))...)
	r := e.Results().Results[0]
	if math.Abs(r.Above-(1-math.Pow(0.8, 10))) > 1e-6 || math.Abs(r.Low-math.Pow(0.025, 0.1)) > 1e-6 || r.High != 1 {
		t.Errorf("%+v", r)
	}
}

// Trays that differ make the confidence smaller, by the trays of all candidates; a record
// of the time when slices counted one by one (which has no design effect) still holds.
func TestResultsCountTrays(t *testing.T) {
	acts := append(begun(230, 231), sent(230, 1, minutes(9), "ggggg"), sent(230, 2, minutes(9), "ggaaa"), sent(231, 1, minutes(9), "ggggg"), sent(231, 2, minutes(9), "aaaga"))
	e := must(t, acts...)
	now, before := e.Results(), e.resultsBy(evidence.Effect{})
	// By hand: squares of what trays have more, 2·(1.5² + 1.5² + 2² + 2²) = 25, by 10·0.7·0.3 + 10·0.6·0.4 = 4.5.
	if math.Abs(now.Design-25/4.5) > 1e-6 || before.Design != 0 {
		t.Errorf("design effect %v, before %v", now.Design, before.Design)
	}
	if a, b := now.Results[0], before.Results[0]; a.Good != b.Good || a.High-a.Low <= b.High-b.Low {
		t.Errorf("%+v is no wider than %+v", a, b)
	}
	for name, result := range map[string]Closing{"now": now, "before": before} {
		if _, err := Read(record(t, append(acts, Act{Kind: Closed, At: minutes(60), By: "Mori", Result: &result})...)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	now.Design = 1
	if err := e.Do(Act{Kind: Closed, At: minutes(60), Result: &now}); err == nil {
		t.Error("another design effect is taken")
	}
}

// Two instructors on ten pieces: 7 both good, 2 both again, 1 apart. By hand: same 0.9,
// by chance 0.8·0.7 + 0.2·0.3 = 0.62, kappa 0.28/0.38.
func TestAgreement(t *testing.T) {
	one, two := sent(230, 1, minutes(9), "ggggg"), sent(230, 2, minutes(9), "ggggg")
	e := must(t, append(begun(230), one, two, judged("Mori", one, "ggggg"), judged("Sato", one, "ggggg"), judged("Mori", two, "gggaa"), judged("Sato", two, "ggaaa"))...)
	a := e.Results().Agreement
	if a == nil || a.Pieces != 10 || a.Same != 9 || !a.Known || math.Abs(a.Kappa-0.28/0.38) > 1e-6 {
		t.Errorf("%+v", a)
	}
	if n := e.Unjudged(); n != 0 {
		t.Errorf("%d trays are unjudged", n)
	}
}

// Words about a photo that was taken anew do not count for the new one.
func TestWordsStayWithTheirPhoto(t *testing.T) {
	first, anew := sent(230, 1, minutes(9), "aaaaa"), sent(230, 1, minutes(10), "ggggg")
	e := must(t, append(begun(230), first, judged("Mori", first, "aaaaa"), anew)...)
	if tray, _ := e.Tray(230, 1); len(tray.Words) != 0 || e.Unjudged() != 1 {
		t.Errorf("words that remain: %v, unjudged %d", tray.Words, e.Unjudged())
	}
	if err := e.Do(judged("Sato", first, "aaaaa")); !errors.Is(err, errNewer) {
		t.Errorf("words about the earlier photo: %v", err)
	}
}

func TestWhatCannotFollow(t *testing.T) {
	tray := sent(230, 1, minutes(9), "gg")
	whole := append(begun(230), tray, judged("Mori", tray, "gg"), judged("Sato", tray, "gg"))
	closed := must(t, whole...).Results()
	for name, c := range map[string]struct {
		acts []Act
		next Act
		want error
	}{
		"nothing before the task":    {nil, Act{Kind: Begun}, errOrder},
		"a second task":              {begun(230), Act{Kind: SetUp, Task: &task}, errOrder},
		"a late candidate":           {begun(230), Act{Kind: Entered, Number: 5, Sealed: "x"}, errBegun},
		"begun twice":                {begun(230), Act{Kind: Begun, At: noon}, errBegun},
		"begun for nobody":           {begun()[:1], Act{Kind: Begun, At: noon}, ErrNobody},
		"a tray before":              {begun(230)[:2], tray, ErrNotBegun},
		"a stranger's tray":          {begun(230), sent(999, 1, noon, "g"), errOrder},
		"a tray too many":            {begun(230), sent(230, 3, noon, "g"), errOrder},
		"a third instructor":         {whole, judged("Ueda", tray, "gg"), errThird},
		"a word too few":             {whole, judged("Mori", tray, "g"), errWords},
		"a word that is none":        {whole, judged("Mori", tray, "gx"), errWords},
		"what was not late":          {whole, Act{Kind: Allowed, Number: 230, Place: 1, Photo: tray.Tray.Photo, Reason: "x"}, errOrder},
		"anything after":             {append(whole[:len(whole):len(whole)], Act{Kind: Closed, At: noon, Result: &closed}), tray, ErrClosed},
		"what nobody knows":          {whole, Act{Kind: "praise"}, errOrder},
		"a number twice":             {begun(230)[:2], Act{Kind: Entered, Number: 230, Sealed: "x"}, errOrder},
		"a candidate without a seal": {begun(230)[:2], Act{Kind: Entered, Number: 231}, errOrder},
	} {
		if err := must(t, c.acts...).Do(c.next); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func TestTaskCheck(t *testing.T) {
	for name, spoil := range map[string]func(*Task){
		"no name": func(t *Task) { t.Name = " " }, "two lines": func(t *Task) { t.Name = "a\nb" }, "no tray": func(t *Task) { t.Trays = 0 },
		"too many slices": func(t *Task) { t.Slices = 61 }, "no time": func(t *Task) { t.Minutes = math.NaN() }, "all must be good": func(t *Task) { t.Mark = 1 },
		"no mark": func(t *Task) { t.Mark = 0 }, "no ticket": func(t *Task) { t.Ticket = "" },
	} {
		x := task
		if spoil(&x); x.Check() == nil {
			t.Errorf("%s: nothing is wrong", name)
		}
	}
	if err := task.Check(); err != nil {
		t.Error(err)
	}
}

func record(t *testing.T, acts ...Act) (out []Entry) {
	t.Helper()
	before := ""
	for _, a := range acts {
		e, err := Next(before, a)
		fatal.If(t, err)
		out, before = append(out, e), e.Hash
	}
	return out
}

// Whatever is done to a record shows: a byte, an act left out, put in, or two that
// change places; and a result that the acts do not come to, chained anew.
func TestRecordShowsTampering(t *testing.T) {
	tray := sent(230, 1, minutes(9), "gga")
	acts := append(begun(230), tray, judged("Mori", tray, "gga"), judged("Sato", tray, "gag"))
	result := must(t, acts...).Results()
	acts = append(acts, Act{Kind: Closed, At: minutes(60), By: "Mori", Result: &result})
	whole := record(t, acts...)
	if e, err := Read(whole); err != nil || e.Closing == nil {
		t.Fatalf("the whole record: %v", err)
	}
	for i := range whole {
		changed := append([]Entry{}, whole...)
		changed[i].Act = strings.Replace(changed[i].Act, "2026", "2027", 1)
		if _, err := Read(changed); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("act %d ", i+1)) {
			t.Errorf("act %d was changed: %v", i+1, err)
		}
		if i+1 < len(whole) {
			if _, err := Read(append(append([]Entry{}, whole[:i]...), whole[i+1:]...)); err == nil {
				t.Errorf("act %d was left out", i+1)
			}
			swapped := append([]Entry{}, whole...)
			swapped[i], swapped[i+1] = swapped[i+1], swapped[i]
			if _, err := Read(swapped); err == nil {
				t.Errorf("acts %d and %d changed places", i+1, i+2)
			}
		}
	}
	better := result
	better.Results = []Result{better.Results[0]}
	better.Results[0].Good++
	acts[len(acts)-1].Result = &better
	if _, err := Read(record(t, acts...)); err == nil {
		t.Error("a better result was chained anew")
	}
	if _, err := Read(append(whole, Entry{`{"kind":"closed","praise":1}`, Chain(whole[len(whole)-1].Hash, `{"kind":"closed","praise":1}`)})); err == nil {
		t.Error("an act with a field that is none")
	}
}

// The chain is the one that anybody computes with sha256sum: printf '\n{}' gives this
// (coreutils 9.1).
func TestChain(t *testing.T) {
	const want = "a062dd4952b935e430d409c4a5e5cd760e8781e3200d5c7e12a232dddba8a528"
	if got := Chain("", "{}"); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
