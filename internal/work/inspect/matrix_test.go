package inspect

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/phonetest"
	"netagauge/internal/see/shape"
)

// cell is what a tray gave after an effect.
type cell struct {
	Found, Of, Invented int
	Length, Width, Area float64 // mean errors: mm, mm, %
	Refused             string  // the codes of what was said, when refused
}

func (c cell) String() string {
	if c.Refused != "" {
		return "refused: " + c.Refused
	}
	return fmt.Sprintf("%d/%d +%d  %5.2f %5.2f %5.2f", c.Found, c.Of, c.Invented, c.Length, c.Width, c.Area)
}

func cellFrom(s string) (c cell) {
	if _, err := fmt.Sscanf(s, "%d/%d +%d %f %f %f", &c.Found, &c.Of, &c.Invented, &c.Length, &c.Width, &c.Area); err != nil {
		c.Refused = strings.TrimPrefix(s, "refused: ")
	}
	return c
}

// cellOf measures a photo with the tray's mean thickness entered and holds each
// piece against the slice of the scene that lies where it lies.
func cellOf(t *testing.T, jpg []byte, tr truth) cell {
	t.Helper()
	in := input("photo", jpg)
	mean := 0.0
	for _, s := range tr.Slices {
		mean += s.Thickness / float64(len(tr.Slices))
	}
	in.Ticket.Thickness = fmt.Sprintf("%.2f", mean)
	r := check(t, in)
	c := cell{Of: len(tr.Slices)}
	if r.Status == piece.TrayRefused {
		for _, p := range r.Problems {
			c.Refused += p.Code + " "
		}
		c.Refused = strings.TrimSpace(c.Refused)
		return c
	}
	for _, p := range r.MeasuredPieces() {
		found := false
		for _, s := range tr.Slices {
			o := outlineOf(s.Outline)
			if r2.Norm(r2.Sub(o.Centroid(), outlineOf(p.Outline).Centroid())) > 10 {
				continue
			}
			m, err := shape.Measure(o)
			if err != nil {
				t.Fatal(err)
			}
			found = true
			c.Found++
			c.Length += math.Abs(p.Length.X - m.Length)
			c.Width += math.Abs(p.Width.X - m.Width)
			c.Area += 100 * math.Abs(p.Area.X/m.Area-1)
		}
		if !found {
			c.Invented++
		}
	}
	n := math.Max(1, float64(c.Found))
	c.Length, c.Width, c.Area = c.Length/n, c.Width/n, c.Area/n
	return c
}

var strengths = [3]string{"a little", "plain", "strong"}

const matrixFile = "../../../testdata/matrix/phones.txt"

// The matrix of what cameras do by sample tray, each effect at three strengths,
// against the table in testdata: no cell may lose a slice, invent one, be refused
// anew or err by more than a tenth of a millimetre or half a per cent more.
// NETAGAUGE_MATRIX=1 compares, NETAGAUGE_MATRIX=write writes the table anew.
func TestCameraMatrix(t *testing.T) {
	mode := os.Getenv("NETAGAUGE_MATRIX")
	if mode == "" {
		t.Skip("takes many minutes: set NETAGAUGE_MATRIX=1")
	}
	was := readMatrix(t, mode)
	table := fmt.Sprintf("%-14s %-18s %-8s %s\n", "tray", "effect", "strength", "found/of +invented, mean error of length mm, width mm, area %")
	for _, tray := range []string{"tray-a4", "tray-laid", "tray-triangles"} {
		data, tr := sample(t, tray)
		for _, e := range phonetest.Effects {
			for s, strength := range strengths {
				jpg, err := e.Taken(data, s)
				if err != nil {
					t.Fatal(err)
				}
				c := cellOf(t, jpg, tr)
				key := fmt.Sprintf("%-14s %-18s %-8s", tray, e.Name, strength)
				if before, ok := was[key]; ok && worse(c, before) {
					t.Errorf("%s %s, was %s", key, c, before)
				}
				t.Log(key, c)
				table += fmt.Sprintf("%s %s\n", key, c)
			}
			if mode == "write" {
				if err := os.WriteFile(matrixFile, []byte(table), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

func worse(c, before cell) bool {
	return c.Refused != "" && before.Refused == "" || c.Refused == "" && before.Refused == "" &&
		(c.Found < before.Found || c.Invented > before.Invented ||
			c.Length > before.Length+0.1 || c.Width > before.Width+0.1 || c.Area > before.Area+0.5)
}

func readMatrix(t *testing.T, mode string) map[string]cell {
	t.Helper()
	if mode == "write" {
		return nil
	}
	text, err := os.ReadFile(matrixFile)
	if err != nil {
		t.Fatal(err)
	}
	const key = 14 + 1 + 18 + 1 + 8
	out := map[string]cell{}
	for _, line := range strings.Split(string(text), "\n")[1:] {
		if len(line) > key {
			out[line[:key]] = cellFrom(strings.TrimSpace(line[key:]))
		}
	}
	return out
}

// What a phone does all at once loses no slice and keeps the measures.
func TestPhoneProcessing(t *testing.T) {
	data, tr := sample(t, "tray-a4")
	all := phonetest.Effects[len(phonetest.Effects)-1]
	for s, strength := range strengths {
		jpg, err := all.Taken(data, s)
		if err != nil {
			t.Fatal(err)
		}
		c := cellOf(t, jpg, tr)
		if c.Refused != "" || c.Found != c.Of || c.Invented > 0 || c.Length > 0.4 || c.Width > 0.6 || c.Area > 1.8 {
			t.Errorf("%s: %s", strength, c)
		}
	}
}
