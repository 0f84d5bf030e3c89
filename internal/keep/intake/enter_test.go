package intake

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/book"
)

// Who counts when one photo comes several times.
func TestEntriesOf(t *testing.T) {
	shot := func(n, result int64, owner, hash string) Shot {
		return Shot{Number: n, Result: result, Owner: owner, Who: "Trainee " + owner, Hash: hash, Name: "a.jpg"}
	}
	for name, c := range map[string]struct {
		shots []Shot
		want  string
	}{
		"nothing measured":     {[]Shot{shot(1, 0, "7", "x")}, ""},
		"two photos":           {[]Shot{shot(1, 5, "7", "x"), shot(2, 6, "8", "y")}, "1 Trainee 7, 2 Trainee 8"},
		"corrected":            {[]Shot{shot(1, 5, "7", "x"), shot(2, 6, "7", "x")}, "1 (sent again as number 2), 2 Trainee 7"},
		"corrected, waiting":   {[]Shot{shot(1, 5, "7", "x"), shot(2, 0, "7", "x")}, "1 Trainee 7"},
		"copied":               {[]Shot{shot(1, 5, "7", "x"), shot(2, 5, "8", "x")}, "1 Trainee 7, 2 (somebody else)"},
		"copied and corrected": {[]Shot{shot(1, 5, "7", "x"), shot(2, 5, "8", "x"), shot(3, 6, "7", "x")}, "1 (sent again as number 3), 2 (somebody else), 3 Trainee 7"},
	} {
		var got []string
		for _, e := range entriesOf(c.shots) {
			who := e.Trainee
			for _, note := range []string{"sent again as number 2", "sent again as number 3", "somebody else"} {
				if strings.Contains(phrase.English().Must(e.Note), note) {
					who += "(" + note + ")"
				}
			}
			got = append(got, strings.TrimLeft(e.File[:4], "0")+" "+who)
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("%s: %s, want %s", name, strings.Join(got, ", "), c.want)
		}
	}
}

func keepNext(t *testing.T, f *Folder, r piece.Tray) Shot {
	t.Helper()
	s, found, err := f.Next(t.Context())
	if err != nil || !found {
		t.Fatalf("nothing waits (%v)", err)
	}
	fatal.If(t, keep(t.Context(), f, s, r, nil))
	if s, err = f.Shot(t.Context(), s.ID); err != nil {
		t.Fatal(err)
	}
	return s
}

// trainees are those whose photos are in the class's run, in the order of receipt.
func trainees(t *testing.T, f *Folder) string {
	t.Helper()
	run, err := f.Run(t.Context(), "Monday")
	fatal.If(t, err)
	entries, err := f.Book().Entries(t.Context(), run.ID)
	fatal.If(t, err)
	var out []string
	for _, e := range entries {
		out = append(out, fmt.Sprintf("%s=%d", e.Trainee, e.Result))
	}
	return strings.Join(out, " ")
}

// A corrected thickness takes the place of the first result, also of one that
// was still being measured.
func TestAgain(t *testing.T) {
	f := open4test(t)
	ctx := t.Context()
	s := receive(t, f, sent("7"), sampleJPEG(t))
	first := keepNext(t, f, measured(1))
	thick := told()
	thick.Thickness = "4.2"
	if _, err := f.Again(ctx, s.ID, thick); err != nil {
		t.Fatal(err)
	}
	before := fmt.Sprintf("Trainee 7=%d", first.Result)
	if got := trainees(t, f); got != before {
		t.Errorf("while it waits, %s counts, want the result from before, %s", got, before)
	}
	if r, err := f.Renewal(ctx, s.Session); err != nil || r != (Renewal{0, 1}) || !r.Going() {
		t.Errorf("measured anew: %+v, %v", r, err)
	}
	taken, _, err := f.Next(ctx) // in hand when the thickness is corrected once more
	fatal.If(t, err)
	thick.Thickness = "4.5"
	if _, err := f.Again(ctx, s.ID, thick); err != nil {
		t.Fatal(err)
	}
	fatal.If(t, keep(ctx, f, taken, measured(2), nil))
	if got, err := f.Shot(ctx, s.ID); err != nil || got.State != Waiting || got.Ticket.Thickness != "4.5" {
		t.Errorf("after a result that came too late the shot is %+v, %v", got, err)
	}
	last := keepNext(t, f, measured(3))
	if got, want := trainees(t, f), fmt.Sprintf("Trainee 7=%d", last.Result); got != want || last.Result == first.Result {
		t.Errorf("%s counts, want %s", got, want)
	}
	if r, err := f.Renewal(ctx, s.Session); err != nil || r.Going() {
		t.Errorf("all are up to date: %+v, %v", r, err)
	}
	thick.Thickness = "9:4.2" // there is no slice 9
	if _, err := f.Again(ctx, s.ID, thick); err != nil {
		t.Fatal(err)
	}
	if taken, _, err = f.Next(ctx); err != nil {
		t.Fatal(err)
	}
	fatal.If(t, f.Fail(ctx, taken, CodeEntered, phrase.Of("trouble-text")))
	if got, err := f.Shot(ctx, s.ID); err != nil || got.State != Measured || got.Result != last.Result || got.Ticket.Thickness != "4.5" || got.Code != CodeEntered {
		t.Errorf("what does not fit costs the result: %+v, %v", got, err)
	}
	if _, err := f.Again(ctx, s.ID, thick); err != nil {
		t.Fatal(err)
	}
	if taken, _, err = f.Next(ctx); err != nil {
		t.Fatal(err)
	}
	thick.Thickness = "4.7" // told while the mistake is in hand: it must not be lost with it
	if _, err := f.Again(ctx, s.ID, thick); err != nil {
		t.Fatal(err)
	}
	fatal.If(t, f.Fail(ctx, taken, CodeEntered, phrase.Of("trouble-text")))
	if got, err := f.Shot(ctx, s.ID); err != nil || got.State != Waiting || got.Ticket.Thickness != "4.7" {
		t.Errorf("what was told meanwhile: %+v, %v", got, err)
	}
	for before, want := range map[int64]int{s.Number: 0, s.Number + 1: 1} {
		if got, err := f.List(ctx, Filter{Before: before}); err != nil || len(got) != want {
			t.Errorf("%d shots before number %d, %v; want %d", len(got), before, err, want)
		}
	}
	if _, err := f.Again(ctx, "nobody's", thick); err == nil {
		t.Error("a shot that is not there is measured anew")
	}
}

// A changed standard is another run, with every photo in it.
func TestChangedStandard(t *testing.T) {
	f := open4test(t)
	for i := range 3 {
		receive(t, f, sent(fmt.Sprint(i)), numbered(t, i))
		keepNext(t, f, measured(i))
	}
	before := trainees(t, f)
	changed := told()
	changed.Standard.Length.Aim++
	fatal.If(t, f.SetSession(t.Context(), Session{Kind: Class, Name: "Monday", HeldOn: time.Now(), Ticket: changed}))
	if after := trainees(t, f); after != before || strings.Count(after, "=") != 3 {
		t.Errorf("photos %q before the change, %q after it", before, after)
	}
}

// Refused photos are entered in a class, and are no spot checks of a line. When
// the clock jumps back, checks stay in the order of receipt.
func TestLine(t *testing.T) {
	f := open4test(t)
	ctx := t.Context()
	on := sent("chef")
	on.Kind, on.Session = Line, "lunch"
	var results []int64
	for i, jump := range []time.Duration{48 * time.Hour, 0, -time.Hour} {
		s := receive(t, f, on, numbered(t, i))
		if _, err := f.db.ExecContext(t.Context(), `UPDATE shot SET received = $1 WHERE id = $2`, time.Now().Add(jump).UTC().Format(time.RFC3339Nano), s.ID); err != nil {
			t.Fatal(err)
		}
		results = append(results, keepNext(t, f, measured(i)).Result)
	}
	receive(t, f, on, numbered(t, 9))
	refused := keepNext(t, f, piece.Tray{Status: piece.TrayRefused, Problems: []piece.Problem{{Code: "no-mat", Message: "no mat is seen", Remedy: "photograph the whole mat"}}})
	if refused.State != Refused || refused.Code != "no-mat" {
		t.Errorf("refused shot %+v", refused)
	}
	checks, err := f.Book().SpotChecks(ctx, "lunch", book.Span{})
	fatal.If(t, err)
	var got []int64
	for _, c := range checks {
		got = append(got, c.Result)
	}
	if fmt.Sprint(got) != fmt.Sprint(results) {
		t.Errorf("checks %v, want %v", got, results)
	}
}

// A photo that waited on a phone counts as checked when it was taken; a camera whose
// clock is ahead, or days behind, is not believed.
func TestTimeOfCheck(t *testing.T) {
	f := open4test(t)
	on := sent("chef")
	on.Kind, on.Session = Line, "lunch"
	now := time.Now().Truncate(time.Second)
	for i, c := range []struct {
		taken    time.Time
		believed bool
	}{{now.Add(-3 * time.Hour), true}, {now.Add(2 * time.Hour), false}, {now.AddDate(0, 0, -30), false}, {time.Time{}, false}} {
		receive(t, f, on, numbered(t, i))
		tray := measured(i)
		tray.Photo.TakenOn(c.taken)
		result := keepNext(t, f, tray).Result
		checks, err := f.Book().SpotChecks(t.Context(), "lunch", book.Span{})
		if err != nil || len(checks) != i+1 {
			t.Fatalf("%+v, %v", checks, err)
		}
		for _, check := range checks {
			if check.Result != result {
				continue
			}
			if at := check.CheckedAt.Equal(c.taken); at != c.believed || !at && check.CheckedAt.Sub(now).Abs() > time.Minute {
				t.Errorf("taken %v, checked %v, received about %v", c.taken, check.CheckedAt, now)
			}
		}
	}
}
