package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/testdata/photos"
)

// samples writes rendered sample trays to a folder, by the names given.
func samples(t *testing.T, dir string, names map[string]string) {
	t.Helper()
	for to, from := range names {
		data, err := photos.Files.ReadFile(from)
		fatal.If(t, err)
		write(t, filepath.Join(dir, to), data)
	}
}

func write(t *testing.T, path string, data []byte) {
	t.Helper()
	fatal.If(t, os.MkdirAll(filepath.Dir(path), 0o755))
	fatal.If(t, os.WriteFile(path, data, 0o644))
}

// call runs the program and expects a code and texts in what it says.
func call(t *testing.T, code int, wants []string, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	got := run(context.Background(), args, &out, &errs)
	all := out.String() + errs.String()
	if got != code {
		t.Errorf("netagauge %s: exit %d, want %d:\n%s", strings.Join(args, " "), got, code, all)
	}
	for _, w := range wants {
		if !strings.Contains(all, w) {
			t.Errorf("netagauge %s: no %q in:\n%s", strings.Join(args, " "), w, all)
		}
	}
	return all
}

// From photos to board and report, run again, with a piece left out by hand.
// Slices of the samples are too narrow, so the class does not pass.
func TestClass(t *testing.T) {
	dir := t.TempDir()
	folder, book, rep := filepath.Join(dir, "monday"), filepath.Join(dir, "b.sqlite"), filepath.Join(dir, "report")
	samples(t, folder, map[string]string{"aki/1.jpg": "tray-a4.jpg", "ben.jpg": "tray-triangles.jpg"})
	roster := filepath.Join(dir, "roster.csv")
	write(t, roster, []byte("label,name,minutes\naki,Trainee Aki,2\nben,\"=Ben <b>\",\ncho,Trainee Cho,\n"))
	args := []string{"class", folder, "--roster", roster, "--species", "salmon", "--thickness", "4", "--book", book, "--report", rep, "--date", "2026-11-23"}
	call(t, command.ExitFails, []string{"Trainee Aki", "=Ben <b>", "23 November 2026", "no photo of Trainee Cho", "Show again:", `2 of 2 `, "measured"}, args...)
	for _, name := range []string{"board.html", "class.pdf", "class.xlsx", "pieces.csv", "trainees/01-ben-b.html", "trainees/02-trainee-aki.html"} {
		if info, err := os.Stat(filepath.Join(rep, name)); err != nil || info.Size() == 0 {
			t.Errorf("report file %s: %v", name, err)
		}
	}
	again := call(t, command.ExitFails, []string{"was in the record book"}, append(args, "--not-a-slice", "aki/1.jpg:1:an invented scrap")...)
	if strings.Contains(again, "\" measured") {
		t.Errorf("a photo was measured twice:\n%s", again)
	}
	page, err := os.ReadFile(filepath.Join(rep, "trainees/02-trainee-aki.html"))
	if err != nil || !bytes.Contains(page, []byte("an invented scrap")) {
		t.Errorf("the reason of the override is not on the page: %v", err)
	}
	call(t, command.ExitUsage, []string{"no piece 99"}, append(args, "--count-it", "aki/1.jpg:99:x")...)
	json := filepath.Join(dir, "b.json")
	call(t, command.ExitPass, []string{"class monday, 23 November 2026: 2 photos"}, "book", "--book", book, "--json", json, "--csv", filepath.Join(dir, "tables"))
	if data, err := os.ReadFile(json); err != nil || !bytes.Contains(data, []byte("an invented scrap")) {
		t.Errorf("the export lacks the override: %v", err)
	}
}

// A file that is no photo is refused and stops no other; without a record
// nothing is left behind.
func TestClassRefusedPhotoAndNoRecord(t *testing.T) {
	dir := t.TempDir()
	home := filepath.Join(dir, "home")
	t.Setenv("XDG_CONFIG_HOME", home)
	samples(t, filepath.Join(dir, "c"), map[string]string{"aki.jpg": "tray-a4.jpg"})
	write(t, filepath.Join(dir, "c", "bad.jpg"), []byte("no photo"))
	call(t, command.ExitRefused, []string{"aki", "bad.jpg was refused: ", "no data"}, "class", filepath.Join(dir, "c"), "--no-record")
	if _, err := os.Stat(home); err == nil {
		t.Error("--no-record left something behind")
	}
}

func TestClassUsage(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "c", "a.jpg"), []byte("no photo"))
	write(t, filepath.Join(dir, "double.csv"), []byte("label,name\n1,a\n1,b\n"))
	c := filepath.Join(dir, "c")
	for _, x := range []struct {
		want string
		args []string
	}{
		{"one folder", nil},
		{"one folder", []string{c, c}},
		{"one folder", []string{filepath.Join(dir, "double.csv")}},
		{"holds no photos", []string{t.TempDir()}},
		{"no such file or folder", []string{filepath.Join(dir, "none")}},
		{"belongs to", []string{c, "--roster", filepath.Join(dir, "double.csv")}},
		{"no such file", []string{c, "--roster", filepath.Join(dir, "none.csv")}},
		{"is no day", []string{c, "--date", "25.11.2026"}},
		{"no minutes", []string{c, "--minutes", "-1"}},
		{"cannot be", []string{c, "--workers", "0"}},
		{"tray's weight", []string{c, "--tray-weight", "60"}},
		{"numbers by piece", []string{c, "--thickness", "1:4"}},
		{"FILE:PIECE:REASON", []string{c, "--not-a-slice", "a.jpg:1"}},
		{"no option --nonsense", []string{c, "--nonsense"}},
	} {
		call(t, command.ExitUsage, []string{x.want}, append([]string{"class"}, x.args...)...)
	}
	call(t, command.ExitPass, []string{"--roster"}, "class", "--help")
	call(t, command.ExitRefused, []string{"not a record book"}, "class", c, "--book", filepath.Join(dir, "double.csv"))
}

func TestLine(t *testing.T) {
	dir := t.TempDir()
	book, rep := filepath.Join(dir, "b.sqlite"), filepath.Join(dir, "report")
	samples(t, dir, map[string]string{"1.jpg": "tray-a4.jpg", "2.jpg": "tray-laid.jpg", "3.jpg": "tray-triangles.jpg"})
	write(t, filepath.Join(dir, "bad.jpg"), []byte("no photo"))
	base := []string{"line", "--book", book, "--line", "lunch", "--species", "salmon"}
	at := func(photo, time string) []string {
		return append(base, filepath.Join(dir, photo), "--thickness", "1:4,2:4.2,3:4.1", "--who", "station 2", "--at", "2026-11-25 "+time)
	}
	call(t, command.ExitRefused, []string{"no spot check"}, base...)
	call(t, command.ExitFails, []string{"1.jpg\n", "1 spot check,", "Nothing to compare it with"}, at("1.jpg", "12:00")...)
	call(t, command.ExitFails, []string{"Check 2 of line lunch", "2 spot checks", "Cpk", "No signal"}, at("2.jpg", "12:20")...)
	call(t, command.ExitFails, []string{"counts once", "2 spot checks"}, at("2.jpg", "12:20")...)
	call(t, command.ExitRefused, []string{"not kept", "2 spot checks"}, at("bad.jpg", "12:30")...)
	call(t, command.ExitFails, []string{"3 spot checks", "Check 3", "station 2", "Western Electric 1", "48 a kg"},
		append(at("3.jpg", "12:40"), "--base", "2", "--price", "48", "--report", rep)...)
	for _, name := range []string{"line.html", "line.json", "line.csv", "weight-mean.svg", "length-s.svg"} {
		if _, err := os.Stat(filepath.Join(rep, name)); err != nil {
			t.Error(err)
		}
	}
	for _, x := range []struct{ want, args string }{
		{"run rules", "--rules mine"}, {"takes two", "--base 1"}, {"nothing to chart", "--no-record"},
		{"name one photo", "--at 12:00"}, {"cannot be", "--shift-weight -1"}, {"cannot be", "--price -1"},
	} {
		call(t, command.ExitUsage, []string{x.want}, append(base, strings.Fields(x.args)...)...)
	}
	call(t, command.ExitUsage, []string{`no line "lunhc"; it has lunch`}, "line", "--book", book, "--line", "lunhc")
	call(t, command.ExitUsage, []string{"is no time"}, append(base, filepath.Join(dir, "bad.jpg"), "--at", "noon")...)
	call(t, command.ExitUsage, []string{"no record book"}, "book", "--book", filepath.Join(dir, "none.sqlite"))
}
