package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/judge/proof"
)

// What is typed are mm and %; the usual limits are those that the help names.
func TestLimitsOf(t *testing.T) {
	if got, err := limitsOf(0.5, 1.5); err != nil || got != proof.Usual {
		t.Errorf("0.5 mm and 1.5 %% are %+v (%v), want the usual %+v", got, err, proof.Usual)
	}
	for _, c := range [][2]float64{{0, 1}, {1, 0}, {-1, 1}} {
		if _, err := limitsOf(c[0], c[1]); err == nil {
			t.Errorf("limits %g are taken", c)
		}
	}
}

func TestAcceptVerb(t *testing.T) {
	sheet := filepath.Join(t.TempDir(), "shapes.pdf")
	tray := file(t, "tray.jpg", samplePhoto(t))
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"--sheet", sheet, "--size", "A4"}, exitPass, "shapes.pdf"},
		{[]string{"--sheet", sheet, tray}, exitUsage, "without it"},
		{[]string{tray, "--bar", "50"}, exitUsage, "50 mm"},
		{[]string{tray, "--area-limit", "0"}, exitUsage, "more than nothing"},
		{nil, exitUsage, "one photo"},
		{[]string{tray}, exitRefused, "card"}, // a tray of fish, without card or shapes
	} {
		if code, out, said := netagauge(append([]string{"accept"}, c.args...)...); code != c.code || !strings.Contains(out+said, c.want) {
			t.Errorf("accept %q: exit code %d, %s%s; want %d with %q", c.args, code, out, said, c.code, c.want)
		}
	}
	if data, err := os.ReadFile(sheet); err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
		t.Errorf("no sheet was written: %v", err)
	}
}
