package main

import (
	"netagauge/internal/command"
	"strings"
	"testing"
)

const pairA, pairB = "../../testdata/pairs/koba.jpg", "../../testdata/pairs/koba.b.jpg"

// Two photos of one tray give weights that no thickness was entered for.
func TestCheckSecond(t *testing.T) {
	code, out, errs := netagauge("check", pairA, "--second", pairB, "--species", "tuna")
	if code != command.ExitPass && code != command.ExitFails {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	for _, want := range []string{"mm thick", "koba", "4 slices: "} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is missing from\n%s", want, out)
		}
	}
}

func TestCheckSecondWrongUsage(t *testing.T) {
	for _, c := range []struct {
		name string
		args []string
		want string
	}{
		{"with a thickness", []string{pairA, "--second", pairB, "--thickness", "4"}, "choose --second"},
		{"with the tray on a scale", []string{pairA, "--second", pairB, "--tray-weight", "40"}, "choose --second"},
		{"two trays", []string{pairA, file(t, "other.jpg", "x"), "--second", pairB}, "one by one"},
		{"the same photo", []string{pairA, "--second", pairA}, "named twice"},
		{"not there", []string{pairA, "--second", "nowhere.jpg"}, "nowhere.jpg"},
	} {
		t.Run(c.name, func(t *testing.T) {
			code, _, errs := netagauge(append([]string{"check"}, c.args...)...)
			if code != command.ExitUsage || !strings.Contains(errs, c.want) {
				t.Errorf("exit %d, %q; want %d and %q", code, errs, command.ExitUsage, c.want)
			}
		})
	}
}
