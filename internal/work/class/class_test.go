package class

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/work/record"

	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/book"
)

func TestParseRoster(t *testing.T) {
	r, err := ParseRoster("\ufeffName, Label ,minutes\r\n\"O'Brien, \"\"Al\"\"\",Tray 07,12.5\r\n=1+1,8,\r\n")
	fatal.If(t, err)
	for label, want := range map[string]string{"Tray 07": `O'Brien, "Al"`, " tray  07 ": `O'Brien, "Al"`, "8": "=1+1"} {
		if got, ok := r.Name(label); !ok || got != want {
			t.Errorf("label %q: %q, %v; want %q", label, got, ok, want)
		}
	}
	if r, err := ParseRoster("Label;Minutes;Name\r\n8;12,5;Ann; \r\n"); err == nil {
		t.Errorf("a row with more cells than the head was read: %+v", r)
	}
	if r, err := ParseRoster("Label;Minutes;Name\r\n8;12,5;O'Brien, Al\r\n"); err != nil || r.Minutes()["O'Brien, Al"] != 12.5 {
		t.Errorf("semicolons: %+v, %v", r, err)
	}
	if r, err := ParseRoster("label,name,minutes\n8,Al,12\n9,Al,7.5\n"); err != nil || r.Minutes()["Al"] != 19.5 {
		t.Errorf("minutes of two labels: %+v, %v; want their sum", r, err)
	}
	if _, ok := r.Name("07"); ok {
		t.Error("07 was guessed to be Tray 07")
	}
	if m := r.Minutes(); len(m) != 1 || m[`O'Brien, "Al"`] != 12.5 {
		t.Errorf("minutes %v", m)
	}
}

func TestParseRosterRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                                    "head line",
		"label,who\n1,a\n":                    "label, name",
		"label,name\n":                        "nobody",
		"label,name\n1,a\n 1 ,b\n":            "line 3",
		"label,name\nX,a\nx,b\n":              "already",
		"label,name\n1,\n":                    "needed",
		"label,name,minutes\n1,a,soon\n":      "minutes",
		"label,name,minutes\n1,a,-3\n":        "minutes",
		"label,name,minutes\n1,a,NaN\n":       "minutes",
		"label,name\n1,a,b\n":                 "line 2 has other columns",
		"label,name\n1,\xff\n":                "UTF-8",
		"label,name\n1,\"a\n":                 "quotation mark",
		"label,name,minutes\n1,a,99999999999": "minutes",
	} {
		if _, err := ParseRoster(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v, want one with %q", text, err, want)
		}
	}
}

func FuzzParseRoster(f *testing.F) {
	f.Add("label,name,minutes\n1,a,3\n")
	f.Add("\ufeffname;label\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := ParseRoster(text)
		if err != nil && r.Known() {
			t.Fatalf("a roster and an error: %v", err)
		}
		for _, x := range r.rows {
			if name, ok := r.Name(x.label); !ok || name != x.name {
				t.Fatalf("label %q gives %q, %v; want %q", x.label, name, ok, x.name)
			}
		}
	})
}

// Whose photo it is, and what is left open, over the ways a class can be laid out.
func TestAssign(t *testing.T) {
	roster, err := ParseRoster("label,name\n01,Aki\n02,Ben\n03,Cho\n")
	fatal.If(t, err)
	for _, c := range []struct {
		name    string
		entries []book.Entry
		roster  Roster
		want    []string // trainee, or a part of the note after !
	}{
		{"mat before folder and file", []book.Entry{{File: "x.jpg", Label: "01"}}, roster, []string{"Aki"}},
		{"sub-folder", []book.Entry{{File: "02/a.jpg"}, {File: "02/b.jpg"}}, roster, []string{"Ben", "Ben"}},
		{"file name", []book.Entry{{File: "03.jpg"}}, roster, []string{"Cho"}},
		{"unknown", []book.Entry{{File: "img_2231.jpg"}}, roster, []string{"!not in the roster"}},
		{"no roster", []book.Entry{{File: "Dee/a.jpg"}}, Roster{}, []string{"Dee"}},
		{"doubled label", []book.Entry{{File: "a.jpg", Label: "01"}, {File: "b.jpg", Label: "01"}}, roster, []string{"!into one sub-folder", "!into one sub-folder"}},
		{"one person's trays", []book.Entry{{File: "x/a.jpg", Label: "01"}, {File: "x/b.jpg", Label: "01"}}, roster, []string{"Aki", "Aki"}},
		{"doubled file names", []book.Entry{{File: "01.jpg"}, {File: "01.png"}}, roster, []string{"!into one sub-folder", "!into one sub-folder"}},
		{"mat against folder", []book.Entry{{File: "02/a.jpg", Label: "01"}}, roster, []string{"!lies in the folder of Ben"}},
		{"same photo twice", []book.Entry{{File: "01/a.jpg", Photo: "h"}, {File: "02/a.jpg", Photo: "h"}}, roster, []string{"Aki", "!same photo"}},
		{"same photo with and without a second", []book.Entry{{File: "01/a.jpg", Photo: "h+i"}, {File: "02/a.jpg", Photo: "h"}}, roster, []string{"Aki", "!same photo"}},
		{"a second photo once more by itself", []book.Entry{{File: "01/a.jpg", Photo: "h+i"}, {File: "02/a.jpg", Photo: "i"}}, roster, []string{"Aki", "!same photo"}},
	} {
		for i := range c.entries {
			if c.entries[i].Photo == "" {
				c.entries[i].Photo = fmt.Sprint(i)
			}
		}
		assign(c.entries, c.roster)
		for i, e := range c.entries {
			note, open := strings.CutPrefix(c.want[i], "!")
			if open && (e.Trainee != "" || !strings.Contains(phrase.English().Must(e.Note), note)) || !open && e.Trainee != c.want[i] {
				t.Errorf("%s: %s is %q (%s), want %q", c.name, e.File, e.Trainee, phrase.English().Must(e.Note), c.want[i])
			}
		}
	}
}

// folderOf makes photo files whose content is their name.
func folderOf(t testing.TB, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, n := range names {
		p := filepath.Join(dir, filepath.FromSlash(n))
		fatal.If(t, errors.Join(os.MkdirAll(filepath.Dir(p), 0o755), os.WriteFile(p, []byte(n), 0o644)))
	}
	return dir
}

func measured(name string) piece.Tray {
	return piece.Tray{Photo: piece.Photo{File: name}, Status: piece.TrayMeasured, Pieces: []piece.Piece{
		{Number: 1, State: piece.Measured, Length: piece.Of(80, 0), Width: piece.Of(35, 0), Cover: piece.Of(1, 0), Verdict: piece.Pass}}}
}

func job(t testing.TB, b *book.Book, folder string, check record.Measure) Job {
	t.Helper()
	hash, err := b.Ticket(context.Background(), ticket.Ticket{})
	fatal.If(t, err)
	run, err := b.Begin(context.Background(), "Monday", time.Now(), hash, "v1")
	fatal.If(t, err)
	trays, err := Trays(folder)
	fatal.If(t, err)
	return Job{Recorder: record.Recorder{Book: b, Program: "v1", Measure: check}, Folder: folder, Trays: trays, Run: run, Workers: 3}
}

func temporary(t testing.TB) *book.Book {
	t.Helper()
	b, err := book.Temporary(context.Background())
	fatal.If(t, err)
	t.Cleanup(func() { b.Close() })
	return b
}

func TestTrays(t *testing.T) {
	dir := folderOf(t, "b.JPG", "a/1.jpeg", "a/.hidden.jpg", ".git/x.jpg", "notes.txt", "c.HEIC", "a/1.b.jpeg", "a/1.b.jpg")
	got, err := Trays(dir)
	if want := []Tray{{"a/1.b.jpg", ""}, {"a/1.jpeg", "a/1.b.jpeg"}, {"b.JPG", ""}, {"c.HEIC", ""}}; err != nil || !slices.Equal(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	if _, err := Trays(t.TempDir()); err == nil {
		t.Error("an empty folder is no class")
	}
	if _, err := Trays(filepath.Join(dir, "none")); err == nil {
		t.Error("a folder that is not there is no class")
	}
}

// A photo over which the program makes a mistake, one that errs, one that is refused and
// one that cannot be opened stop no other.
func TestBadPhotosStopNoOther(t *testing.T) {
	dir := folderOf(t, "1.jpg", "2.jpg", "3.jpg", "4.jpg")
	fatal.If(t, os.Symlink("nowhere", filepath.Join(dir, "5.jpg")))
	b := temporary(t)
	j := job(t, b, dir, func(_ context.Context, t record.Tray) (record.Result, error) {
		switch t.First.Name {
		case "2.jpg":
			return record.Result{}, record.MistakeError{What: "ouch"}
		case "3.jpg":
			return record.Result{}, errors.New("lens cap")
		case "4.jpg":
			return record.Result{Report: piece.Tray{Status: piece.TrayRefused}}, nil
		}
		return record.Result{Report: measured(t.First.Name)}, nil
	})
	var shown bytes.Buffer
	p := NewProgress(&shown, phrase.English(), false, len(j.Trays))
	j.Seen = p.Seen
	outcomes, err := j.Do(t.Context())
	p.Close()
	fatal.If(t, err)
	for i, bad := range []bool{false, true, true, false, true} {
		if (outcomes[i].Err != nil) != bad {
			t.Errorf("%s: error %v", outcomes[i].File, outcomes[i].Err)
		}
	}
	entries, err := b.Entries(t.Context(), j.Run.ID)
	if err != nil || len(entries) != 2 {
		t.Errorf("entries %v, %v; want the two good photos", entries, err)
	}
	if n := strings.Count(shown.String(), "\n"); n != 5 {
		t.Errorf("%d lines of progress for 5 photos:\n%s", n, &shown)
	}
	for _, line := range []string{`"1.jpg" measured`, `"4.jpg" photo refused`} {
		if !strings.Contains(shown.String(), line) {
			t.Errorf("progress does not say %s:\n%s", line, &shown)
		}
	}
}

// A stopped run keeps what it measured; the next one measures only the rest.
func TestStopAndGoOn(t *testing.T) {
	var names []string
	for i := range 30 {
		names = append(names, fmt.Sprintf("%02d.jpg", i))
	}
	dir := folderOf(t, names...)
	b := temporary(t)
	ctx, stop := context.WithCancel(t.Context())
	var calls atomic.Int64
	check := func(_ context.Context, t record.Tray) (record.Result, error) {
		if calls.Add(1) == 10 {
			stop()
		}
		return record.Result{Report: measured(t.First.Name)}, nil
	}
	if _, err := job(t, b, dir, check).Do(ctx); !errors.Is(err, context.Canceled) {
		t.Fatalf("stopped run: %v", err)
	}
	first := calls.Load()
	if first > 13 {
		t.Errorf("%d photos were measured after the stop at 10", first)
	}
	outcomes, err := job(t, b, dir, check).Do(t.Context())
	fatal.If(t, err)
	before := 0
	for _, o := range outcomes {
		if o.Before {
			before++
		}
	}
	if int64(before) != first || calls.Load() != 30 {
		t.Errorf("%d of %d measured photos were found again; %d measurements for 30 photos", before, first, calls.Load())
	}
}
