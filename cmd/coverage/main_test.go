package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/coverage"
)

const calibration = "../../testdata/coverage/calibration.csv"

// The table has a row for each group, from what was kept; what is kept once more
// gives the same.
func TestTable(t *testing.T) {
	again := filepath.Join(t.TempDir(), "again.csv")
	var first, second bytes.Buffer
	fatal.If(t, run(t.Context(), []string{calibration}, options{keep: again}, &first))
	fatal.If(t, run(t.Context(), []string{again}, options{}, &second))
	if first.String() != second.String() {
		t.Errorf("kept and read again it is\n%s\nwas\n%s", second.String(), first.String())
	}
	for _, g := range coverage.Groups {
		if !strings.Contains(first.String(), g.Measure.Name()+", "+g.Seen+" ") {
			t.Errorf("the table lacks %s, %s:\n%s", g.Measure.Name(), g.Seen, first.String())
		}
	}
}

// Fitting writes the file that the program reads, in the project's folder.
func TestFitWrites(t *testing.T) {
	kept, err := filepath.Abs(calibration)
	fatal.If(t, err)
	t.Chdir(t.TempDir())
	fatal.If(t, os.Mkdir("calibration", 0o700))
	fatal.If(t, run(t.Context(), []string{kept}, options{fit: true}, new(bytes.Buffer)))
	text, err := os.ReadFile(factors)
	if err != nil || !strings.HasPrefix(string(text), "measure,seen,factor,slices\nlength,one photo,") {
		t.Errorf("%v: %.80q", err, text)
	}
	if err := run(t.Context(), []string{t.TempDir()}, options{}, new(bytes.Buffer)); err == nil {
		t.Error("a folder without photos is taken")
	}
}
