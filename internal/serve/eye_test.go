package serve

import (
	"encoding/json"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
	"netagauge/internal/judge/eye"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

func (v *visitor) deck() (d deckData) {
	v.Helper()
	fatal.If(v, json.Unmarshal([]byte(v.get("/eye/deck").body), &d))
	return d
}

// The deck has slices of the class's trays, with nobody's name, and those that come with
// the program.
func TestDeck(t *testing.T) {
	e := newEverybody(t)
	got := e.bo.get("/eye/deck")
	got.must(e.site, http.StatusOK)
	got.lacks(e.site, "Aoi Test")
	own, built := 0, 0
	for _, c := range e.bo.deck().Cards {
		if c.Rendered {
			built++
		} else {
			own++
			if c.Fish != "salmon" || len(c.Picture) == 0 || len(c.Asks) < 3 || c.Width <= 0 {
				t.Errorf("%+v", c)
			}
		}
	}
	if own != 4 || built < 12 { // two slices of each of two trays; the line's are the line's
		t.Errorf("%d of the class and %d others", own, built)
	}
}

// Trays of another class are not in it, though what was guessed of them on the way counts.
func TestDeckIsTheClasss(t *testing.T) {
	e := newEverybody(t)
	e.teacher.post("/class", url.Values{"class": {"Tuesday"}, "day": {"2026-11-26"}}).must(e.site, http.StatusSeeOther)
	for _, c := range e.bo.deck().Cards {
		if !c.Rendered {
			t.Errorf("%s is of the other class", c.ID)
		}
	}
	e.bo.made("/eye", url.Values{"token": {"late"}, "card": {e.aoiShot[7:] + "-2"}, "measure": {"length"}, "guess": {"90"}}).must(e.site, http.StatusOK, "Near enough")
}

// The truth is the server's, whatever a phone says; a guess sent twice counts once; one
// made on the way keeps its time, but none of the future or of long ago.
func TestGuess(t *testing.T) {
	e := newEverybody(t)
	card := e.aoiShot[7:] + "-2"
	at := time.Now().Add(-3 * time.Hour).Truncate(time.Second)
	first := url.Values{"token": {"one"}, "card": {card}, "measure": {"length"}, "guess": {"88,5"}, "at": {strconv.FormatInt(at.UnixMilli(), 10)}, "right": {"1"}, "truth": {"1"}}
	for range 2 {
		e.bo.made("/eye", first).must(e.site, http.StatusOK, "Near enough: 1.5 mm off.", "It is 90.0 ± 0.5 mm long.", "1 of 1 right")
	}
	far := url.Values{"token": {"two"}, "card": {card}, "measure": {"weight"}, "guess": {"9"}, "at": {"99999999999999"}}
	e.bo.made("/eye", far).must(e.site, http.StatusOK, "3.5 g too little.", "It weighs 12.5 ± 0.6 g.", "0 of 1 right")
	e.bo.made("/eye", url.Values{"token": {"three"}, "card": {card}, "measure": {"cover"}, "guess": {"0"}}).must(e.site, http.StatusOK, "Not so.", "It covers the rice.")
	past := e.bo.deck().Past
	if len(past) != 3 || past[0] != (deckGuess{"salmon", "length", true, at.UnixMilli()}) || past[1].Right {
		t.Errorf("%+v", past)
	}
	old := url.Values{"token": {"old"}, "card": {card}, "measure": {"width"}, "guess": {"35"}, "at": {strconv.FormatInt(time.Now().AddDate(0, 0, -100).UnixMilli(), 10)}}
	e.bo.made("/eye", old).must(e.site, http.StatusOK)
	for _, g := range e.bo.deck().Past[1:] {
		if time.Since(time.UnixMilli(g.At)).Abs() > time.Minute {
			t.Errorf("a time that cannot be: %+v", g)
		}
	}
	if got := e.aoi.deck().Past; len(got) != 0 {
		t.Errorf("another's guesses: %+v", got)
	}
	for _, wrong := range []url.Values{
		{"token": {"x"}, "card": {card}, "measure": {"length"}, "guess": {"long"}}, {"token": {"x"}, "card": {card}, "measure": {"length"}, "guess": {"NaN"}},
		{"token": {"x"}, "card": {card}, "measure": {"length"}, "guess": {"-3"}}, {"token": {"x"}, "card": {card}, "measure": {"cover"}, "guess": {"0.7"}},
		{"token": {""}, "card": {card}, "measure": {"length"}, "guess": {"80"}}, {"token": {"x"}, "card": {card}, "measure": {"taper"}, "guess": {"1"}},
		{"token": {strings.Repeat("x", 65)}, "card": {card}, "measure": {"length"}, "guess": {"80"}},
	} {
		e.bo.post("/eye", wrong).must(e.site, http.StatusUnprocessableEntity, "Type the guess as a number")
	}
	e.bo.post("/eye", url.Values{"token": {"x"}, "card": {"b-0"}, "measure": {"length"}, "guess": {"80"}}).must(e.site, http.StatusNotFound)
	e.chef.post("/eye", first).must(e.site, http.StatusNotFound)
}

// Without script the page asks one question, whose form can be answered.
func TestEyeWithoutScript(t *testing.T) {
	e := newEverybody(t)
	field := func(body, name string) string {
		m := regexp.MustCompile(`name="` + name + `" value="([^"]+)"`).FindStringSubmatch(body)
		if m == nil {
			t.Fatalf("no %s in %s", name, body)
		}
		return m[1]
	}
	for range 20 {
		body := e.bo.get("/eye").body
		guess := "1"
		got := e.bo.made("/eye", url.Values{"token": {field(body, "token")}, "card": {field(body, "card")}, "measure": {field(body, "measure")}, "guess": {guess}})
		got.must(e.site, http.StatusOK, `class="paper told"`)
	}
	if n := len(e.bo.deck().Past); n != 20 {
		t.Errorf("%d guesses", n)
	}
}

// A habit is said with its unit, and only where it is one.
func TestHabits(t *testing.T) {
	e := newEverybody(t)
	for i, off := range []float64{-4, -6, -5, -5, -4} {
		g := eye.Guess{ID: strconv.Itoa(i), By: "Bo Test", Card: "b-1", Kind: eye.Kind{Fish: "squid", Measure: "length"}, Guess: 80 + off, Truth: 80, Within: 2.5, At: time.Now()}
		w := g
		w.ID, w.Measure, w.Guess, w.Truth = "w"+g.ID, "weight", 12+off+5, 12
		for _, g := range []eye.Guess{g, w} {
			fatal.If(t, e.folder.Book().AddGuess(t.Context(), g))
		}
	}
	e.bo.get("/eye").must(e.site, http.StatusOK, "squid</span>, length: 4.8 mm too little as a rule", "0 of 5 right", "5 of 5 right; no habit, spread 0.8 g")
}

// Who wants to guess first sees no verdict before; what is close is left out; the guess
// counts once, and the result says how it came out.
func TestGuessFirst(t *testing.T) {
	e := newEverybody(t)
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, "too long")
	e.aoi.made("/eye/first", url.Values{"first": {"yes"}}).must(e.site, http.StatusOK, "Show my results at once again")
	asked := e.aoi.get(e.aoiShot)
	asked.must(e.site, http.StatusOK, "Which of these will you cut again?", `name="again" value="1"`, `name="again" value="2"`)
	asked.lacks(e.site, "too long", "90.0", `value="3"`, "turn the knife")
	e.aoi.get(e.aoiShot+"?shown").must(e.site, http.StatusOK, "too long")
	e.teacher.get(e.aoiShot).must(e.site, http.StatusOK, "too long")
	e.aoi.made(e.aoiShot+"/guess", url.Values{"again": {"1"}}).must(e.site, http.StatusOK, "Of 1 slice to cut again you saw 0. You doubted 1 that is good.")
	e.aoi.made(e.aoiShot+"/guess", url.Values{"again": {"2"}}).must(e.site, http.StatusOK, "Of 1 slice to cut again you saw 0") // the first counts
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, "too long", "you saw 0")
	e.teacher.get(e.aoiShot).lacks(e.site, "you saw")
	e.aoi.get("/eye").must(e.site, http.StatusOK, "which slices to cut again", "0 of 2 right")
	e.bo.post(e.aoiShot+"/guess", url.Values{"again": {"2"}}).must(e.site, http.StatusNotFound)
	e.aoi.made("/eye/first", url.Values{"first": {"no"}}).must(e.site, http.StatusOK, "Guess first")
}

// A tray just sent lies there for so many minutes, and one of hours ago no more.
func TestCold(t *testing.T) {
	e := newEverybody(t)
	e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, `hidden data-cold="0"`, "out of the cold for at least {n} min") // shown from a minute on
	e.teacher.get(e.aoiShot).lacks(e.site, "out of the cold")
	now := time.Now()
	if got := coldOf(now.Add(-90*time.Minute-time.Second), now); got == nil || got.Minutes != 90 {
		t.Errorf("%+v", got)
	}
	if coldOf(now.Add(-3*time.Hour), now) != nil || coldOf(now.Add(time.Minute), now) != nil {
		t.Error("a tray of hours ago, or of the future")
	}
}

// The instructor sees whose eye is where; the eye's and the hand's days are drawn.
func TestClassEyes(t *testing.T) {
	e := newEverybody(t)
	for i := range 6 {
		g := eye.Guess{ID: strconv.Itoa(i), By: "Aoi Test", Card: "b-1", Kind: eye.Kind{Fish: "squid", Measure: "length"}, Guess: 86 + float64(i%2), Truth: 80, Within: 2.5, At: time.Now().AddDate(0, 0, -i)}
		fatal.If(t, e.folder.Book().AddGuess(t.Context(), g))
	}
	for i, off := range []float64{-9, 8} {
		g := eye.Guess{ID: strconv.Itoa(i), By: "Bo Test", Card: "b-1", Kind: eye.Kind{Fish: "squid", Measure: "width"}, Guess: 30 + off, Truth: 30, Within: 1, At: time.Now()}
		fatal.If(t, e.folder.Book().AddGuess(t.Context(), g))
	}
	got := e.teacher.get("/class/eyes")
	got.must(e.site, http.StatusOK, "Aoi Test", "Bo Test", "0 of 6 right", "6.5 mm too much as a rule")
	got.lacks(e.site, "width: ") // two guesses are no habit
	e.aoi.get("/eye").must(e.site, http.StatusOK, "/eye/trend.svg", "oldest first: 0, 0, 0, 0, 0, 0.", "it takes 6 classes with 5 guesses before each", "so far 0.")
	e.aoi.get("/eye/trend.svg").must(e.site, http.StatusOK, "<svg", "Eye", "Hand")
}

// The file of the hands says of the eye's lead what is known of it, each as an effect.
func TestLeadInAFile(t *testing.T) {
	got := leadRows("Aoi", eye.Lead{Classes: 7, EyeOK: true, Eye: evidence.Interval{Value: 0.5, Low: -0.1, High: 0.9}})
	if len(got) != 1 || got[0][0] != "Aoi" || got[0][4] != 0.5 || got[0][5] != -0.1 || got[0][6] != 0.9 || got[0][8] != 7 || !strings.HasPrefix(got[0][2].(string), "right guesses") {
		t.Errorf("%v", got)
	}
	if got := leadRows("Aoi", eye.Lead{Classes: 9, EyeOK: true, HandOK: true, Hand: evidence.Interval{Value: 0.3}}); len(got) != 2 || got[1][4] != 0.3 {
		t.Errorf("%v", got)
	}
	if got := leadRows("Aoi", eye.Lead{Classes: 2}); got != nil {
		t.Errorf("too few classes, and %v", got)
	}
}

// By the class code a trainee sees only what was guessed today, as of the trays.
func TestGuessesByCode(t *testing.T) {
	e := newEverybody(t)
	for i, age := range []time.Duration{time.Hour, 48 * time.Hour} {
		g := eye.Guess{ID: strconv.Itoa(i), By: "Aoi Test", Card: "b-1", Kind: eye.Kind{Fish: "squid", Measure: "length"}, Guess: 80, Truth: 80, Within: 2.5, At: time.Now().Add(-age)}
		fatal.If(t, e.folder.Book().AddGuess(t.Context(), g))
	}
	if all, today := len(e.aoi.deck().Past), len(e.code.deck().Past); all != 2 || today != 1 {
		t.Errorf("%d by the link, %d by the code", all, today)
	}
}

// A slice that is close is right whatever was guessed, so it is not asked about; and an
// instructor who takes the phone sees the result at once.
func TestGuessFirstLeavesCloseOut(t *testing.T) {
	e := newEverybody(t)
	e.aoi.made("/eye/first", url.Values{"first": {"yes"}}).must(e.site, http.StatusOK)
	tray := e.aoi.sendTray("/tray")
	e.site.measure(func(s intake.Shot) piece.Tray {
		r := madeUp(s)
		r.Pieces[0].Verdict = piece.Unsure
		return r
	})
	e.aoi.made(tray+"/guess", url.Values{"again": {"1", "2"}}).must(e.site, http.StatusOK, "Of 1 slice to cut again you saw 1.")
	if n := len(e.aoi.deck().Past); n != 1 {
		t.Errorf("%d guesses were kept", n)
	}
	code, err := e.accounts.AddPasscode(t.Context(), account.Instructor, "second")
	fatal.If(t, err)
	other := e.bo.sendTray("/tray")
	e.site.measure(madeUp)
	e.aoi.post("/signin", url.Values{"name": {"second"}, "passcode": {code}}).must(e.site, http.StatusSeeOther)
	e.aoi.get(other).must(e.site, http.StatusOK, "too long")
}
