package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// kitchen is a data folder with a roster and a standard of its own.
func kitchen(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	b, err := book.Open(t.Context(), filepath.Join(dir, intake.BookFile))
	fatal.If(t, err)
	own := standard.Default()
	own.Name = "strict"
	text, err := own.TOML()
	fatal.If(t, err)
	for name, text := range map[string]string{settings.Standard: string(text), settings.Roster: "label,name\n1,Aoi Example\n2,Bo Example\n"} {
		fatal.If(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	fatal.If(t, b.Close())
	return dir
}

// An exam is set up with the folder's own standard for the whole roster, or for those who
// are named; then it is there, open and whole.
func TestExamSetUp(t *testing.T) {
	dir := kitchen(t)
	set := []string{"exam", "--data", dir, "--instructor", "Mori", "--species", "sake"}
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"--set-up", "Autumn", "--trays", "2", "--slices", "5", "--minutes", "20", "--mark", "75", "--thickness", "4"}, command.ExitPass, "Autumn is set up and sealed: 2 candidates have numbers."},
		{[]string{"--set-up", "Winter", "--candidate", "Bo Example"}, command.ExitPass, "1 candidate has a number"},
		{[]string{"--set-up", "Autumn"}, command.ExitRefused, "there is an exam Autumn already"},
		{[]string{"--set-up", "Spring", "--candidate", "Sen Example"}, command.ExitRefused, `"Sen Example" is not on the roster`},
		{[]string{"--set-up", "Spring", "--candidate", "Bo Example", "--candidate", "Bo Example"}, command.ExitRefused, "named twice"},
		{[]string{"--set-up", "Spring", "--mark", "100"}, command.ExitRefused, "the pass mark"},
		{[]string{"--set-up", "Spring", "--thickness", "thin"}, command.ExitRefused, "thin"},
		{[]string{"--set-up", "Spring", "--standard", "none.toml"}, command.ExitUsage, "none.toml"},
		{[]string{"--set-up", ""}, command.ExitRefused, "60 characters"},
		{[]string{"--set-up", "Spring", "--export", "x"}, command.ExitUsage, "stands by itself"},
		{nil, command.ExitUsage, "--set-up"},
	} {
		var out, errw bytes.Buffer
		if code := run(t.Context(), append(slices.Clone(set), c.args...), &out, &errw); code != c.code || !strings.Contains(out.String()+errw.String(), c.says) {
			t.Errorf("%v: exit code %d, want %d; %s%s", c.args, code, c.code, &out, &errw)
		}
	}
	var out bytes.Buffer
	if code := run(t.Context(), []string{"exam", "--data", dir}, &out, &out); code != command.ExitPass || out.String() != "Winter: open, 2 acts, whole so far\nAutumn: open, 3 acts, whole so far\n" {
		t.Errorf("%d: %s", code, &out)
	}
	sealed(t, dir)
}

// sealed holds Autumn to what was told of it.
func sealed(t *testing.T, dir string) {
	t.Helper()
	b, err := book.Open(t.Context(), filepath.Join(dir, intake.BookFile))
	fatal.If(t, err)
	defer b.Close()
	id, number, found, err := b.ExamOf(t.Context(), "Aoi Example")
	if err != nil || !found || number < 100 {
		t.Fatalf("%d, %v, %v", number, found, err)
	}
	e, _, err := b.Exam(t.Context(), id)
	fatal.If(t, err)
	told, err := b.TicketBy(t.Context(), e.Task.Ticket)
	if err != nil || told.Standard.Name != "strict" || told.Thickness != "4" {
		t.Errorf("%+v, %v", told, err)
	}
	if x := e.Task; x.Name != "Autumn" || x.Trays != 2 || x.Slices != 5 || x.Minutes != 20 || x.Mark != 0.75 || x.Species != "salmon" {
		t.Errorf("%+v", x)
	}
}
