package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/testdata/photos"
)

// A card of ISO/IEC 7810 ID-1 size on a mat printed true: the scale is kept,
// and later checks on that mat say so.
func TestVerifyKeepsPrintScale(t *testing.T) {
	store := filepath.Join(t.TempDir(), "prints.toml")
	t.Setenv("NETAGAUGE_PRINTS", store)
	data, err := photos.Files.ReadFile("tray-card.jpg")
	if err != nil {
		t.Fatal(err)
	}
	code, out, errs := netagauge("mat", "--verify", file(t, "card.jpg", data))
	if code != exitPass || !strings.Contains(out, "100.") {
		t.Fatalf("exit code %d: %s%s", code, out, errs)
	}
	text, err := os.ReadFile(store)
	if err != nil || !strings.Contains(string(text), "mat = 'a3'") {
		t.Errorf("store holds %q, %v", text, err)
	}
	code, _, errs = netagauge("mat", "--verify", file(t, "tray.jpg", samplePhoto(t)))
	if code != exitRefused || !strings.Contains(errs, "no bank card") {
		t.Errorf("without a card: exit code %d, %q", code, errs)
	}
	if err := os.WriteFile(store, []byte("[[print]]\nmat = 'a4'\nscale = 0.98\nexpanded_uncertainty = 0.003\nobject = 'card'\nday = '2026-03-03'\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, out, _ = netagauge("check", file(t, "tray.jpg", samplePhoto(t))); !strings.Contains(out, "print-scale") || !strings.Contains(out, "98.0 %") {
		t.Errorf("a mat kept as 98 %% is not corrected for:\n%s", out)
	}
}
