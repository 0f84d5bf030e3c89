package lesson

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/piece"
)

// Every fault has a drawing; each is well-formed, within its frame, and carries its
// label without harm.
func TestDrawings(t *testing.T) {
	keys := []string{piece.NoKoba}
	for _, m := range piece.Judged() {
		keys = append(append(keys, m.Little, m.Much), m.Reasons...)
	}
	for key := range drawings {
		keys = append(keys, key)
	}
	for _, key := range keys {
		if key == "" {
			continue
		}
		svg := string(Drawing(key, `"><script>`))
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
	if Drawing("nothing", "") != "" {
		t.Error("a drawing of nothing")
	}
}

// Blade raised and blade laid are each other's mirror in what was and what shall be:
// the solid blade of the one leans as the dashed line of the other, not as its own.
func TestTurnsAreToldApart(t *testing.T) {
	if drawings["wide"] == drawings["narrow"] || drawings["long"] == drawings["short"] || drawings["light"] == drawings["heavy"] {
		t.Error("two opposite lessons have one drawing")
	}
	if !strings.Contains(drawings["wide"], blade(20, 86, 62, 86)) || !strings.Contains(drawings["wide"], dashed(20, 86, 36, 86)) {
		t.Error("too wide: the blade is not raised")
	}
}
