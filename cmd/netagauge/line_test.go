package main

import (
	"encoding/csv"
	"encoding/json"
	"netagauge/internal/command"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Exit codes speak of the check just taken: signals of others, and of one that
// somebody has remarked on, do not count. The samples' slices are too narrow for the
// house; a standard that takes them leaves the charts alone.
func TestLineSpeaksOfThisCheck(t *testing.T) {
	dir := t.TempDir()
	samples(t, dir, map[string]string{"1.jpg": "tray-a4.jpg", "2.jpg": "tray-laid.jpg", "3.jpg": "tray-triangles.jpg"})
	house := filepath.Join(dir, "house.toml")
	write(t, house, []byte("name = \"wide\"\n[length_mm]\nlow = 20\naim = 80\nhigh = 120\n[width_mm]\nlow = 5\naim = 35\nhigh = 70\n[rice]\ncover_floor = 0.1\n"))
	base := []string{"line", "--book", filepath.Join(dir, "b.sqlite"), "--line", "lunch", "--standard", house, "--base", "2"}
	with := func(args ...string) []string { return append(slices.Clone(base), args...) }
	photo := func(name string) string { return filepath.Join(dir, name) }
	call(t, command.ExitPass, []string{"Nothing to compare it with"}, with(photo("1.jpg"), "--who", "Aki", "--base", "0")...)
	call(t, command.ExitPass, nil, with(photo("2.jpg"), "--who", "station 2")...)
	out := call(t, command.ExitFails, []string{"Check 3 of line lunch, 2024-05-01 10:00, Aki", "Look into it", `--remark "3: new knife"`, "3 spot checks"}, with(photo("3.jpg"), "--who", "Aki")...)
	if slices, line := strings.Index(out, "rice cover"), strings.Index(out, "Check 3 of line"); slices < 0 || slices > line || line > strings.Index(out, "Line lunch:") || strings.Index(out, "None of") > strings.Index(out, "Cpk") {
		t.Errorf("slices, then what the check means, then the line, shares before Cpk:\n%s", out)
	}
	call(t, command.ExitPass, []string{"Check 3, 2024-05-01 10:00", "Aki, 2 checks: "}, base...)
	for _, wrong := range []string{"3", "3: ", "x: new knife"} {
		call(t, command.ExitUsage, []string{"CHECK:REMARK"}, with("--remark", wrong)...)
	}
	call(t, command.ExitUsage, []string{"no check 4; it has 3"}, with("--remark", "4: new knife")...)
	call(t, command.ExitPass, []string{". Known: new knife\n"}, with("--remark", "3: new knife")...)
	call(t, command.ExitPass, []string{"Check 3 of line lunch", ". Known: new knife\n", "counts once"}, with(photo("3.jpg"))...)
	only := call(t, command.ExitPass, []string{"Line lunch, only Aki: 2 spot checks"}, with("--only", "Aki")...)
	if strings.Contains(only, "station 2") {
		t.Errorf("another station's checks:\n%s", only)
	}
	call(t, command.ExitUsage, []string{"there are: Aki, station 2"}, with("--only", "Ben")...)
	call(t, command.ExitUsage, []string{"--json or --csv"}, with("--json", "--csv")...)

	var said struct {
		Checks []struct {
			New  bool
			Tray *struct{ Status string }
		}
		Measures []struct {
			Measure string
			Signals []struct {
				Check      int
				New, Known bool
			}
		}
	}
	text := call(t, command.ExitPass, nil, with(photo("2.jpg"), "--json")...)
	if err := json.Unmarshal([]byte(text[:strings.LastIndex(text, "}")+1]), &said); err != nil {
		t.Fatalf("%v:\n%s", err, text)
	}
	if c := said.Checks; len(c) != 3 || !c[1].New || c[1].Tray == nil || c[1].Tray.Status != "measured" || c[2].New || c[2].Tray != nil {
		t.Errorf("checks %+v", said.Checks)
	}
	if s := said.Measures[0].Signals; len(s) == 0 || s[0].Check != 3 || !s[0].Known || s[0].New {
		t.Errorf("signals of the %s: %+v", said.Measures[0].Measure, s)
	}
	rows, err := csv.NewReader(strings.NewReader(call(t, command.ExitPass, nil, with("--csv")...))).ReadAll()
	if err != nil || len(rows) != 1+3*3 || rows[0][0] != "line" || !slices.Contains(rows[3], "new knife") || rows[3][slices.Index(rows[0], "rests_on_photo")] != "2024-05-01 10:00" {
		t.Errorf("CSV: %v, %v", rows, err)
	}
}
