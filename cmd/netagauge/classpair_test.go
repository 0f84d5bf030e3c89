package main

import (
	"encoding/json"
	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// pairIn writes the sample pair to a folder as 7.jpg and 7.b.jpg.
func pairIn(t *testing.T, folder string) (second string) {
	t.Helper()
	for to, from := range map[string]string{"7.jpg": pairA, "7.b.jpg": pairB} {
		data, err := os.ReadFile(from)
		fatal.If(t, err)
		write(t, filepath.Join(folder, to), data)
	}
	return filepath.Join(folder, "7.b.jpg")
}

// sources are where the weights of every result in the book come from, in the
// order they were measured; "" is a measured slice without a weight.
func sources(t *testing.T, book string) (out [][]string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "b.json")
	call(t, command.ExitPass, nil, "book", "--book", book, "--json", file)
	data, err := os.ReadFile(file)
	fatal.If(t, err)
	var all struct {
		Result []struct {
			Report json.RawMessage `json:"report"`
		} `json:"result"`
	}
	fatal.If(t, json.Unmarshal(data, &all))
	for _, r := range all.Result {
		var report struct {
			Pieces []struct {
				Weight        *float64 `json:"weight_g"`
				ThicknessFrom string   `json:"thickness_source"`
			} `json:"pieces"`
		}
		text := []byte(r.Report)
		var quoted string
		if json.Unmarshal(text, &quoted) == nil {
			text = []byte(quoted)
		}
		fatal.If(t, json.Unmarshal(text, &report))
		var from []string
		for _, p := range report.Pieces {
			if (p.Weight != nil) != (p.ThicknessFrom != "") {
				t.Errorf("weight %v with a thickness from %q", p.Weight, p.ThicknessFrom)
			}
			if !slices.Contains(from, p.ThicknessFrom) {
				from = append(from, p.ThicknessFrom)
			}
		}
		out = append(out, from)
	}
	return out
}

// A second photo in the folder gives weights; changed or gone, the tray is
// measured anew, and what was decided about its pieces stays. Without a weight
// the slices that are left pass.
func TestClassPair(t *testing.T) {
	dir := t.TempDir()
	folder, book := filepath.Join(dir, "monday"), filepath.Join(dir, "b.sqlite")
	second := pairIn(t, folder)
	args := []string{"class", folder, "--species", "tuna", "--book", book}
	fresh := "\"7.jpg\" + \"7.b.jpg\" measured"
	call(t, command.ExitFails, []string{"1 of 1 " + fresh, "thickness in 7.jpg (7): second photo for 1, 2, 3, 4"},
		append(args, "--not-a-slice", "7.jpg:1:an invented scrap")...)
	call(t, command.ExitFails, []string{"was in the record book"}, args...)

	data, err := os.ReadFile(pairA)
	fatal.If(t, err)
	write(t, second, data)
	call(t, command.ExitPass, []string{fresh, "thickness in 7.jpg (7): unknown for 1, 2, 3, 4; the second photo is not used", "from nearly the same place"}, args...)

	fatal.If(t, os.Remove(second))
	alone := call(t, command.ExitPass, []string{"1 of 1 \"7.jpg\" measured"}, append(args, "--report", filepath.Join(dir, "report"))...)
	if strings.Contains(alone, "second photo") {
		t.Errorf("there is no second photo any more:\n%s", alone)
	}
	page, err := os.ReadFile(filepath.Join(dir, "report", "trainees", "01-7.html"))
	if err != nil || !strings.Contains(string(page), "an invented scrap") {
		t.Errorf("what was decided about the piece is gone: %v", err)
	}
	if got := sources(t, book); !slices.EqualFunc(got, [][]string{{"second photo"}, {""}, {""}}, slices.Equal) {
		t.Errorf("the thicknesses come from %q; want the second photo, then nothing twice", got)
	}
}

// An entered thickness is for the trays with one photo; a pair's own wins.
func TestClassPairWithThickness(t *testing.T) {
	dir := t.TempDir()
	folder, book, rep := filepath.Join(dir, "monday"), filepath.Join(dir, "b.sqlite"), filepath.Join(dir, "report")
	pairIn(t, folder)
	samples(t, folder, map[string]string{"8.jpg": "tray-a4.jpg"})
	call(t, command.ExitFails, []string{"2 of 2", "thickness in 7.jpg (7): second photo for 1, 2, 3, 4"},
		"class", folder, "--species", "tuna", "--thickness", "5", "--book", book, "--report", rep, "--workers", "1")
	got := sources(t, book)
	if len(got) != 2 || !slices.Equal(got[0], []string{"second photo"}) || len(got[1]) == 0 || strings.Contains(got[1][0], "second") || got[1][0] == "" {
		t.Errorf("the thicknesses come from %q; want the second photo for the pair and the entered one for the other", got)
	}
	page, err := os.ReadFile(filepath.Join(rep, "trainees", "01-7.html"))
	if err != nil || !strings.Contains(string(page), "Thickness: second photo for 1, 2, 3, 4") {
		t.Errorf("the trainee's page does not say where the thickness comes from: %v", err)
	}
}

func TestClassPairWrongUsage(t *testing.T) {
	folder := t.TempDir()
	for _, n := range []string{"7.jpg", "7.b.jpg", "7.B.jpg"} {
		write(t, filepath.Join(folder, n), []byte("no photo"))
	}
	if names, err := os.ReadDir(folder); err != nil || len(names) < 3 {
		t.Skip("this disk does not tell upper from lower case")
	}
	call(t, command.ExitUsage, []string{"which is the second photo of which?"}, "class", folder, "--no-record")
}

// On the line too, a second photo belongs to its check and makes no other one. Slice 1 is
// 0.7 mm narrower than the house asks, by either.
func TestLinePair(t *testing.T) {
	dir := t.TempDir()
	book := filepath.Join(dir, "b.sqlite")
	second := pairIn(t, dir)
	base := []string{"line", "--book", book, "--species", "tuna", "--at", "2026-11-25 12:00", filepath.Join(dir, "7.jpg")}
	call(t, command.ExitFails, []string{"1 spot check,"}, base...)
	call(t, command.ExitFails, []string{"1 spot check,"}, append(base, second)...)
	if got := sources(t, book); !slices.EqualFunc(got, [][]string{{""}, {"second photo"}}, slices.Equal) {
		t.Errorf("the thicknesses come from %q; want none, then the second photo", got)
	}
}
