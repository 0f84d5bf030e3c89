package main

import (
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/tell/telltest"
	"netagauge/testdata/photos"
)

// Help fits a terminal.
func TestHelpFits(t *testing.T) {
	_, page, _ := netagauge("--help")
	telltest.Fits(t, page)
	for _, v := range verbs() {
		_, help, _ := netagauge(v.name, "--help")
		telltest.Fits(t, help)
	}
}

// So does what people read at one, with names of 40 characters, in every language
// that a command has.
func TestTextsFit(t *testing.T) {
	data, err := photos.Files.ReadFile("tray-triangles.jpg")
	fatal.If(t, err)
	dir := t.TempDir()
	class := filepath.Join(dir, telltest.LongNames[1])
	fatal.If(t, os.Mkdir(class, 0o700))
	var trays []string
	for i, name := range telltest.LongNames {
		path := filepath.Join(class, name+".jpg")
		if i == 2 {
			data = []byte("no picture")
		}
		fatal.If(t, os.WriteFile(path, data, 0o600))
		trays = append(trays, path)
	}
	book := filepath.Join(dir, "book.sqlite")
	told := []string{"--species", "salmon", "--thickness", "4", "--book", book}
	for _, args := range [][]string{
		append([]string{"line", trays[0], "--line", telltest.LongNames[0], "--who", telltest.LongNames[2]}, told...),
		{"species"},
		{"standard", file(t, "house.toml", "name = \""+telltest.LongNames[0]+"\"\n")},
		append([]string{"repeat", trays[0], trays[1]}, told...),
		{"book", "--book", book},
	} {
		fits(t, args...)
	}
	for _, language := range []string{"en", "ja"} {
		fits(t, append([]string{"class", class, "--language", language}, told...)...)
		fits(t, append([]string{"check", "--language", language, "--species", "salmon", "--thickness", "4"}, trays...)...)
		fits(t, "plan", "--stations", "0:42x16,120:58x22,240:60x20", "--species", "tuna", "--blade", "48", "--price", "40", "--title", telltest.LongNames[2], "--language", language)
	}
}

// fits runs a command and looks at what it prints.
func fits(t *testing.T, args ...string) {
	t.Helper()
	code, out, errs := netagauge(args...)
	if code == command.ExitUsage || out == "" {
		t.Errorf("%q: exit code %d: %s", args, code, errs)
	}
	telltest.Fits(t, out)
}
