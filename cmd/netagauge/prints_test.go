package main

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/testdata/photos"
)

// A card of ISO/IEC 7810 ID-1 size on a mat printed true: the scale is kept,
// and later checks on that mat say so.
func TestVerifyKeepsPrintScale(t *testing.T) {
	store := filepath.Join(t.TempDir(), "prints.toml")
	t.Setenv("NETAGAUGE_PRINTS", store)
	data, err := photos.Files.ReadFile("tray-card.jpg")
	fatal.If(t, err)
	code, out, errs := netagauge("mat", "--verify", file(t, "card.jpg", data))
	if code != command.ExitPass || !strings.Contains(out, "100.") {
		t.Fatalf("exit code %d: %s%s", code, out, errs)
	}
	text, err := os.ReadFile(store)
	if err != nil || !strings.Contains(string(text), "mat = 'a3'") {
		t.Errorf("store holds %q, %v", text, err)
	}
	code, _, errs = netagauge("mat", "--verify", file(t, "tray.jpg", samplePhoto(t)))
	if code != command.ExitRefused || !strings.Contains(errs, "no bank card") {
		t.Errorf("without a card: exit code %d, %q", code, errs)
	}
	fatal.If(t, os.WriteFile(store, []byte("[[print]]\nmat = 'a4'\nscale = 0.98\nexpanded_uncertainty = 0.003\nobject = 'card'\nday = '2026-03-03'\n"), 0o600))
	if _, out, _ = netagauge("check", file(t, "tray.jpg", samplePhoto(t))); !strings.Contains(out, "print-scale") || !strings.Contains(out, "98.0 %") {
		t.Errorf("a mat kept as 98 %% is not corrected for:\n%s", out)
	}
}

// A coin tells the print of the mat it lies on, within the interval stated; the
// truth is that of the scenes (testdata/coin/README.md).
func TestVerifyByCoin(t *testing.T) {
	const coins = "../../testdata/coin"
	printed := regexp.MustCompile(`printed at ([0-9.]+) ± ([0-9.]+) %, by a 100 yen coin`)
	for _, c := range []struct {
		photo string
		truth float64
		says  string
		keeps bool
	}{
		{"coin-97.jpg", 97, "Kept in", true},
		{"coin-100.jpg", 100, "nothing is kept", false}, // a coin knows no better
	} {
		store := filepath.Join(t.TempDir(), "prints.toml")
		t.Setenv("NETAGAUGE_PRINTS", store)
		code, out, errs := netagauge("mat", "--verify", filepath.Join(coins, c.photo), "--coin", "100 Yen")
		m := printed.FindStringSubmatch(out)
		if code != command.ExitPass || m == nil || !strings.Contains(out, c.says) {
			t.Fatalf("%s: exit code %d: %s%s", c.photo, code, out, errs)
		}
		scale, u := number(t, m[1]), number(t, m[2])
		if math.Abs(scale-c.truth) > u || u > 1 {
			t.Errorf("%s: %g ± %g %%, the print is at %g %%", c.photo, scale, u, c.truth)
		}
		t.Logf("%s: %+.2f %% off, interval ± %g %%", c.photo, scale-c.truth, u)
		if _, err := os.Stat(store); (err == nil) != c.keeps {
			t.Errorf("%s: kept: %v, want %v", c.photo, err == nil, c.keeps)
		}
	}
}

// An earlier scale of the mat does not outlive a coin that shows another.
func TestCoinReplacesEarlierScale(t *testing.T) {
	store := file(t, "prints.toml", "[[print]]\nmat = 'a4'\nscale = 0.97\nexpanded_uncertainty = 0.003\nobject = 'card'\nday = '2026-03-03'\n")
	t.Setenv("NETAGAUGE_PRINTS", store)
	code, out, errs := netagauge("mat", "--verify", "../../testdata/coin/coin-100.jpg", "--coin", "100 yen")
	text, err := os.ReadFile(store)
	if code != command.ExitPass || err != nil || strings.Contains(string(text), "scale = 0.97") || !strings.Contains(string(text), "object = '100 yen'") {
		t.Errorf("exit code %d: %s%s%v; the store holds\n%s", code, out, errs, err, text)
	}
}

func TestVerifyByCoinRefuses(t *testing.T) {
	t.Setenv("NETAGAUGE_PRINTS", filepath.Join(t.TempDir(), "prints.toml"))
	const coin = "../../testdata/coin/coin-100.jpg"
	for name, c := range map[string]struct {
		args []string
		code int
		says string
	}{
		"another coin":      {[]string{"--verify", coin, "--coin", "500 yen"}, command.ExitRefused, "of this size: 100 yen"},
		"next larger coin":  {[]string{"--verify", coin, "--coin", "10 yen"}, command.ExitRefused, "edge of the paper"},
		"no coin":           {[]string{"--verify", file(t, "tray.jpg", samplePhoto(t)), "--coin", "100 yen"}, command.ExitRefused, "no coin is seen"},
		"coin and no name":  {[]string{"--verify", coin}, command.ExitRefused, "no bank card"},
		"no photo":          {[]string{"--verify", file(t, "lunch.jpg", "lunch"), "--coin", "100 yen"}, command.ExitRefused, "cannot be measured"},
		"unknown coin":      {[]string{"--verify", coin, "--coin", "3 yen"}, command.ExitUsage, "1 yen, 5 yen, 10 yen"},
		"a card is no coin": {[]string{"--verify", coin, "--coin", "card"}, command.ExitUsage, "1 yen, 5 yen, 10 yen"},
		"nothing to verify": {[]string{"--coin", "100 yen"}, command.ExitUsage, "--verify"},
	} {
		code, out, errs := netagauge(append([]string{"mat"}, c.args...)...)
		if code != c.code || !strings.Contains(errs, c.says) {
			t.Errorf("%s: exit code %d, want %d and %q\n%s%s", name, code, c.code, c.says, out, errs)
		}
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	fatal.If(t, err)
	return v
}
