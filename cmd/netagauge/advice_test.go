package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

const adviceTrays = "../../testdata/advice"

// cutTray is a rendered tray's truth; testdata/advice/README.md says how it came
// about.
type cutTray struct {
	Name   string
	Slices []struct {
		Centre    [2]float64 `json:"centre_mm"`
		Thickness float64    `json:"thickness_mm"`
	}
}

// thicknesses are the slices' own, as a cook enters them: the slices lie in the
// order of their numbers.
func (c cutTray) thicknesses() string {
	var each []string
	for i, s := range c.Slices {
		each = append(each, fmt.Sprintf("%d:%.2f", i+1, s.Thickness))
	}
	return strings.Join(each, ",")
}

func cutTrays(t *testing.T) map[string]cutTray {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(adviceTrays, "trays.json"))
	fatal.If(t, err)
	var all []cutTray
	fatal.If(t, json.Unmarshal(text, &all))
	byName := map[string]cutTray{}
	for _, c := range all {
		byName[c.Name] = c
	}
	return byName
}

// says is one piece of advice that must be given: a sentence with all the
// parts, and the number that follows one of its words.
type says struct {
	parts  string // separated by " … ", in this order
	after  string // a pattern; the number behind it is checked; may be empty
	number float64
	within float64
}

// found reports whether one of the sentences is it.
func (s says) found(sentences []string) bool {
	parts := strings.Split(s.parts, " … ")
	for i, p := range parts {
		parts[i] = regexp.QuoteMeta(p)
	}
	inOrder := regexp.MustCompile(strings.Join(parts, ".*"))
	number := regexp.MustCompile(s.after + `(\d+(\.\d+)?)`)
	for _, text := range sentences {
		if !inOrder.MatchString(text) {
			continue
		}
		if s.after == "" {
			return true
		}
		if m := number.FindStringSubmatch(text); m != nil {
			if v, err := strconv.ParseFloat(m[1], 64); err == nil && math.Abs(v-s.number) <= s.within {
				return true
			}
		}
	}
	return false
}

func (s says) String() string {
	if s.after == "" {
		return fmt.Sprintf("%q", s.parts)
	}
	return fmt.Sprintf("%q with %g ± %g after %q", s.parts, s.number, s.within, s.after)
}

// Trays cut with a known fault: the advice is right in kind. What is expected
// comes from the knife and the block of the scene by L = W / sin(theta) for the
// length and, for the width a slice lies with, h / sin(phi) + t / tan(phi)
// (common practice, no source; the second term is the leaning wall). first is
// the tray's first advice, also any other; never must not be said at all; piece
// speaks of one piece.
func TestAdviceOnKnownFaults(t *testing.T) {
	t.Setenv("NETAGAUGE_PRINTS", filepath.Join(t.TempDir(), "none.toml"))
	const anyThickness = "mm thick, not"
	for _, c := range []struct {
		name  string
		args  string // T stands for each slice's thickness
		first []says
		also  []says
		never []string
		piece map[int]says
	}{
		{name: "good", args: "T --lay-angle 60 --plan-angle 45 --block-width 56.6 --block-height 28",
			never: []string{"mm", "piece"}},
		// asin(56.6/80) = 45.0; 4.2 mm is thick enough, the weight is low for the length alone.
		{name: "theta-steep-told", args: "T --lay-angle 60 --plan-angle 60 --block-width 56.6 --block-height 28",
			first: []says{{"all 6 … too short", "cut at ", 45, 1}}, also: []says{{parts: "leave the thickness"}}, never: []string{anyThickness, "blade"}},
		// asin(52/80) = 40.5
		{name: "theta-steep", args: "T --lay-angle 90 --plan-angle 55",
			first: []says{{"all 6 … too short … from 55°", "to ", 40.5, 2}}, never: []string{anyThickness, "blade"}},
		// asin(60/80) = 48.6
		{name: "theta-flat-told", args: "T --lay-angle 90 --plan-angle 40 --block-width 60",
			first: []says{{"all 6 … too long", "cut at ", 48.6, 1}}, never: []string{anyThickness, "blade"}},
		{name: "theta-flat", args: "T --lay-angle 60 --plan-angle 35",
			first: []says{{"all 5 … too long … from 35°", "to ", 40.5, 2}}, never: []string{anyThickness, "blade"}},
		// 91 mm of block, 80 of slice: there is no angle.
		{name: "block-wide", args: "T --lay-angle 90 --plan-angle 90 --block-width 91",
			first: []says{{parts: "all 6 … too long … no plan angle … trim it or split it"}}, never: []string{anyThickness, "turn the knife"}},
		// 24/sin 49.6 + 4.4/tan 49.6 = 31.5 + 3.7 = 35.2
		{name: "phi-steep-told", args: "T --lay-angle 75 --block-height 24",
			first: []says{{"all 6 … too narrow", "lay the blade to ", 49.8, 2}}, never: []string{anyThickness, "turn the knife"}},
		// 22/sin 45.5 + 4.2/tan 45.5 = 30.8 + 4.1 = 34.9
		{name: "phi-upright", args: "T",
			first: []says{{"all 6 … too narrow … lay the blade flatter", "about ", 60, 5}}, never: []string{anyThickness, "turn the knife", "°"}},
		// 24/sin 49.3 + 4.2/tan 49.3 = 31.7 + 3.6 = 35.3
		// The slanted ends, swept by the wall, make the outline 4 mm longer, so that a
		// second sentence on the length is no mistake.
		{name: "phi-flat", args: "T --lay-angle 38",
			first: []says{{parts: "all 4 … too wide … raise the blade"}}, never: []string{anyThickness, "flatter"},
			piece: map[int]says{1: {"too wide … raise the blade from 38°", "to ", 49.5, 3}}},
		{name: "block-high", args: "T --lay-angle 90 --block-height 43",
			first: []says{{parts: "all 4 … too wide … no lay angle … trim it or split it"}}, never: []string{anyThickness, "turn the knife"}},
		// 12 g aimed at over 80 × 32.3 × 1.05e-3 g/mm: 4.4 mm
		{name: "pitch-small", args: "T --lay-angle 60 --plan-angle 45",
			first: []says{{"all 6 … too light", "cut ", 4.4, .3}}, never: []string{"turn the knife", "leave the thickness"},
			piece: map[int]says{4: {"45° and a blade at 60°", "a cut every ", 7.2, .4}}}, // 4.4/(sin 45 sin 60)
		// 12 g over 80 × 35: 4.08 mm; a cut every 4.08/sin 45 = 5.8 mm
		{name: "pitch-large", args: "T --lay-angle 90 --plan-angle 45",
			first: []says{{"all 6 … too heavy", "cut ", 4.1, .2}, {"all 6", "a cut every ", 5.8, .3}}, never: []string{"turn the knife", "leave the thickness"}},
		{name: "pitch-known", args: "--pitch 4.2 --lay-angle 90 --plan-angle 45",
			never: []string{"too light", "turn the knife", "leave the thickness"}}, // a pitch for all is an estimate: its U covers the gap
		// 7.5 g of squid over 80 × 35: 2.5 mm
		{name: "heavy-for-squid", args: "T --species squid --lay-angle 90",
			first: []says{{"all 6 … too heavy", "cut ", 2.55, .2}}, never: []string{"turn the knife", "leave the thickness"}},
		{name: "length-scatter", args: "T --lay-angle 90",
			first: []says{{"lengths … hold the block still", "differ by ", 20, 1}}, never: []string{"on average", "turn the knife", anyThickness}},
		{name: "width-scatter", args: "T --lay-angle 90",
			first: []says{{"widths … hold the blade at the same angle", "differ by ", 12, 1}}, never: []string{"on average", "turn the knife", anyThickness}},
		// 2.9 to 5.7 mm over 80 × 35 × 1.05e-3: 8.5 to 16.7 g
		{name: "thickness-scatter", args: "T --lay-angle 90",
			first: []says{{"weights at one size … keep the step between cuts even", "differ by ", 8.2, 1}}, never: []string{"on average", "turn the knife", "lay the blade"}},
		// The length goes from 70 to 90: asin(70/80 sin 45) = 38.2, asin(90/80 sin 45) = 52.7
		{name: "length-drift", args: "T --lay-angle 90 --plan-angle 45",
			first: []says{{"lengths go from 70 to 90 … turn the knife as you go", "° to ", 52.7, 1.5}, {"lengths", ", from ", 38.2, 1.5}}, never: []string{"one stroke", anyThickness}},
		// The thick side: 34/sin 82 + 4.6/tan 82 = 34.3 + 0.6 = 35. This block is too high as well.
		{name: "taper", args: "T --lay-angle 60 --block-height 34",
			first: []says{{"4 of 6 slices are triangular … thin on one side … start on the thick face … lay it over to", "blade at ", 82, 2}},
			also:  []says{{parts: "too wide"}}, never: []string{anyThickness, "set aside", "turn the knife"},
			piece: map[int]says{1: {parts: "the taper is the cause"}}},
		{name: "narrow-heavy", args: "T",
			first: []says{{parts: "slice 4 is small but heavy enough: open it like a book"}}, never: []string{"differ", "on average"},
			piece: map[int]says{4: {"narrow but heavy enough … open it like a book along its long edge", "80 × ", 38, 1}}},
		{name: "small", args: "T",
			first: []says{{parts: "slices 2, 5 are too small for nigiri: set them aside"}}, never: []string{"differ", "on average"},
			piece: map[int]says{2: {parts: "set it aside"}, 5: {parts: "set it aside"}}},
		// asin(56.6/80) = 45.0 puts the mean right, not the 18 mm between the slices; one
		// is 75 mm long, at the limit.
		{name: "short-and-scatter", args: "T --lay-angle 90 --plan-angle 60",
			also:  []says{{"too short … from 60°", "to ", 45, 2}, {"lengths … hold the block still", "differ by ", 18, 1}},
			never: []string{anyThickness, "blade"}},
		// asin(50/80) = 38.7, and 24 mm of height as above. Ends that stand upright, as in
		// these renders, may be taken to lean: lengths then read 1 mm long.
		{name: "theta-and-phi", args: "T --lay-angle 60 --plan-angle 48 --block-width 50 --block-height 24",
			first: []says{{"all 6 … too short", "cut at ", 38.7, 1.5}}, also: []says{{"all 6 … too narrow", "lay the blade to ", 49.5, 2}},
			never: []string{anyThickness, "set aside"}, piece: map[int]says{1: {parts: "too narrow"}}},
		// asin(58/80) = 46.5; 3.1 mm weighs 80 × 35 × 3.1 × 1.05e-3 = 9.1 g then.
		{name: "long-and-thin", args: "T --lay-angle 90 --plan-angle 38 --block-width 58",
			first: []says{{"all 5 … too long", "cut at ", 46.5, 1}}, also: []says{{"mm thick", "will weigh ", 9.1, .3}, {"will weigh", "cut ", 4.1, .2}}, never: []string{"leave the thickness"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			tray, known := cutTrays(t)[c.name]
			if !known {
				t.Fatal("trays.json has no such tray")
			}
			args := append([]string{"check", "--json", filepath.Join(adviceTrays, c.name+".jpg")},
				strings.Fields(strings.Replace(c.args, "T", "--thickness "+tray.thicknesses(), 1))...)
			if !strings.Contains(c.args, "--species") {
				args = append(args, "--density", "1.05") // that of the rendered slices
			}
			_, out, errs := netagauge(args...)
			var r piece.Tray
			if err := json.Unmarshal([]byte(out), &r); err != nil {
				t.Fatalf("no report: %v; %s", err, errs)
			}
			inOrder(t, tray, r)
			advice := r.Tally.Advice
			given := "\nadvice on the tray:\n  " + strings.Join(advice, "\n  ")
			for _, s := range c.first {
				if len(advice) == 0 || !s.found(advice[:1]) {
					t.Errorf("want first %v%s", s, given)
				}
			}
			for _, s := range c.also {
				if !s.found(advice) {
					t.Errorf("want %v%s", s, given)
				}
			}
			for _, n := range c.never {
				if strings.Contains(strings.Join(advice, "\n"), n) {
					t.Errorf("it must not say %q%s", n, given)
				}
			}
			for number, s := range c.piece {
				if texts := pieceAdvice(r, number); !s.found(texts) {
					t.Errorf("piece %d: want %v\nadvice:\n  %s", number, s, strings.Join(texts, "\n  "))
				}
			}
		})
	}
}

// inOrder fails unless every slice is measured under its own number.
func inOrder(t *testing.T, c cutTray, r piece.Tray) {
	t.Helper()
	if got := len(r.MeasuredPieces()); got != len(c.Slices) || r.Tally == nil {
		t.Fatalf("%d pieces measured, want %d; problems %+v", got, len(c.Slices), r.Problems)
	}
	for i, p := range r.MeasuredPieces() {
		var x, y float64
		for _, q := range p.Outline {
			x, y = x+q[0]/float64(len(p.Outline)), y+q[1]/float64(len(p.Outline))
		}
		if want := c.Slices[i].Centre; math.Hypot(x-want[0], y-want[1]) > 10 {
			t.Fatalf("piece %d lies at %.0f, %.0f, want slice %d at %.0f, %.0f", p.Number, x, y, i+1, want[0], want[1])
		}
	}
}

func pieceAdvice(r piece.Tray, number int) []string {
	var out []string
	for _, p := range r.Pieces {
		for _, f := range p.Faults {
			if p.Number == number {
				out = append(out, f.Advice)
			}
		}
	}
	return out
}
