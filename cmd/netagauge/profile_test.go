package main

import (
	"bytes"
	"context"
	"fmt"
	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// invented weighings: areas in mm² and weights in g of one cutter's slices.
func writeProfile(t *testing.T, grams func(area float64) float64) string {
	t.Helper()
	text := "species = \"salmon\"\ncutter = \"A\"\n"
	for i, a := range []float64{2000, 2300, 2600, 2900, 3200} {
		text += fmt.Sprintf("[[piece]]\nphoto = \"t.jpg\"\nnumber = %d\narea_mm2 = %g\nweight_g = %g\n", i+1, a, grams(a))
	}
	path := filepath.Join(t.TempDir(), "p.toml")
	fatal.If(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func TestProfile(t *testing.T) {
	good := writeProfile(t, func(a float64) float64 { return a * 0.0042 })
	useless := writeProfile(t, func(a float64) float64 { return 11 })
	plot := filepath.Join(t.TempDir(), "r.svg")
	none, broken := filepath.Join(t.TempDir(), "none.toml"), filepath.Join(t.TempDir(), "broken.jpg")
	fatal.If(t, os.WriteFile(broken, []byte("no photo"), 0o600))
	for _, c := range []struct {
		args string
		code int
		want string
	}{
		{good, command.ExitPass, "0.420 g/cm²"},
		{good + " --species sake --cutter A --plot " + plot, command.ExitPass, "5 pieces weighed"},
		{useless, command.ExitFails, "not usable"},
		{good + " --species squid", command.ExitUsage, "for salmon"},
		{good + " --species salmn", command.ExitUsage, `"salmon"`},
		{good + " --cutter B", command.ExitUsage, "the profile of A, not of B"},
		{good + " tray.jpg", command.ExitUsage, "--weighed"},
		{good + " --weighed 1:11", command.ExitUsage, "name the photo"},
		{none, command.ExitUsage, "none.toml"},
		{none + " " + broken + " --weighed 1:11", command.ExitUsage, "--species and --cutter"},
		{none + " " + broken + " --weighed 1:11 --species salmon --cutter A", command.ExitRefused, broken},
		{none + " tray.jpg --weighed 1:11 --species salmon --cutter A", command.ExitUsage, "tray.jpg"},
		{"", command.ExitUsage, "name the profile"},
		{"--help", command.ExitPass, "--weighed 2:11.3"},
	} {
		var out, errs bytes.Buffer
		code := run(context.Background(), append([]string{"profile"}, strings.Fields(c.args)...), &out, &errs)
		if code != c.code || !strings.Contains(out.String()+errs.String(), c.want) {
			t.Errorf("netagauge profile %s: exit %d, want %d and %q in:\n%s%s", c.args, code, c.code, c.want, out.String(), errs.String())
		}
	}
	if svg, err := os.ReadFile(plot); err != nil || !bytes.Contains(svg, []byte("<svg")) {
		t.Errorf("no residuals were drawn: %v", err)
	}
	if _, err := os.Stat(none); err == nil {
		t.Error("a refused photo left a profile behind")
	}
}
