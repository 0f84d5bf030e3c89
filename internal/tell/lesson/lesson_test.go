package lesson

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
)

// faults are the keys of all that can be wrong with a piece.
func faults() []string {
	keys := []string{piece.NoKoba}
	for _, m := range piece.Judged() {
		keys = append(append(keys, m.Little, m.Much), m.Reasons...)
	}
	return slices.DeleteFunc(keys, func(key string) bool { return key == "" })
}

// steps are what a lesson is drawn by.
func steps(fault string) []string {
	return append([]string{fault}, coach.Lesson{Key: fault}.Steps()...)
}

// Every fault has a drawing; each is well-formed, within its frame, and carries its
// label without harm.
func TestDrawings(t *testing.T) {
	all := [][]string{}
	for _, key := range faults() {
		all = append(all, steps(key))
	}
	for key := range drawings {
		all = append(all, []string{key})
	}
	for _, key := range all {
		svg := string(Drawing(`"><script>`, key...))
		if !strings.Contains(svg, "&gt;&lt;script&gt;") {
			t.Errorf("%s: %q", key, svg)
			continue
		}
		d := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", key, err)
			}
		}
		for _, m := range regexp.MustCompile(`[ML](-?[0-9.]+) (-?[0-9.]+)`).FindAllStringSubmatch(svg, -1) {
			x, _ := strconv.ParseFloat(m[1], 64)
			y, _ := strconv.ParseFloat(m[2], 64)
			if x < -1 || x > 117 || y < -1 || y > 101 {
				t.Errorf("%s leaves its frame at %g, %g", key, x, y)
			}
		}
	}
	if Drawing("", "nothing") != "" {
		t.Error("a drawing of nothing")
	}
}

// Blade raised and blade laid are each other's mirror in what was and what shall be:
// the solid blade of the one leans as the dashed line of the other, not as its own.
func TestTurnsAreToldApart(t *testing.T) {
	for one, other := range map[string]string{"wide": "narrow", "long": "short", "light": "heavy"} {
		if Drawing("", steps(one)...) == Drawing("", steps(other)...) {
			t.Errorf("%s and %s have one drawing", one, other)
		}
	}
	if !strings.Contains(drawings["do-up"], blade(20, 86, 62, 86)) || !strings.Contains(drawings["do-up"], dashed(20, 86, 36, 86)) {
		t.Error("too wide: the blade is not raised")
	}
	if further := drawings["do-further"]; !strings.Contains(further, blade(52, 86, 58, 82)) || !strings.Contains(further, dashed(40, 86, 58, 48)) {
		t.Error("too light: the next cut is not further along than the last step was")
	}
}
