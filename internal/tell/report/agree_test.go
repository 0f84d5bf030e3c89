package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// written is what one piece's numbers are in the JSON line.
type written struct {
	Number     int
	Length     float64  `json:"length_mm"`
	LengthU    float64  `json:"length_u_mm"`
	Width      float64  `json:"width_mm"`
	WidthU     float64  `json:"width_u_mm"`
	Area       float64  `json:"area_mm2"`
	AreaU      float64  `json:"area_u_mm2"`
	Weight     float64  `json:"weight_g"`
	WeightU    float64  `json:"weight_u_g"`
	RiceCover  float64  `json:"rice_cover"`
	RiceCoverU float64  `json:"rice_cover_u"`
	Skew       *float64 `json:"skew_deg,omitempty"`
	SkewU      float64  `json:"skew_u_deg,omitempty"`
}

// The numbers of all outputs agree: the CSV's are the JSON's, and those of text,
// page and picture are rounded once, from the full value, as the JSON's are.
func TestNumbersAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := sample()
		for i := range r.Pieces {
			if p := &r.Pieces[i]; p.State == piece.Measured {
				p.Length.X = rapid.Float64Range(10, 300).Draw(t, "length")
				p.Length.U = rapid.Float64Range(0.001, 9).Draw(t, "length U")
				p.Width.X = rapid.Float64Range(5, 90).Draw(t, "width")
				p.Area.X = rapid.Float64Range(50, 20000).Draw(t, "area")
				p.Weight.X = rapid.Float64Range(0.5, 99).Draw(t, "weight")
				p.Cover.X = rapid.Float64Range(0, 1).Draw(t, "cover")
			}
		}
		var asJSON, asCSV, asText, asHTML bytes.Buffer
		for _, err := range []error{JSON(&asJSON, r), CSV(&asCSV, r), english.Text(&asText, false, r), english.HTML(&asHTML, Page{Report: r})} {
			fatal.If(t, err)
		}
		var line struct{ Pieces []written }
		fatal.If(t, json.Unmarshal(asJSON.Bytes(), &line))
		rows, err := csv.NewReader(&asCSV).ReadAll()
		fatal.If(t, err)
		text, page := plainRows(asText.String(), `(?m)^ *(\d) +(?:good|again|close) .*$`), plainRows(asHTML.String(), `(?m)^.*<tr class="[a-z]+"><td>(\d)</td>.*$`)
		for i, w := range line.Pieces {
			if w.Length == 0 {
				continue
			}
			p := r.Pieces[i]
			for _, pair := range [][2]float64{{w.Length, p.Length.X}, {w.Width, p.Width.X}, {w.Weight, p.Weight.X}} {
				if pair[0] != uncertainty.Round(pair[1], 2) {
					t.Fatalf("piece %d: JSON has %v for %v", w.Number, pair[0], pair[1])
				}
			}
			want := []string{
				one(p.Length.X), up(p.Length.U, 1), one(p.Width.X), up(p.Width.U, 1), uncertainty.Decimal(p.Area.X, 0), up(p.Area.U, 0),
				one(p.Weight.X), up(p.Weight.U, 1), one(100 * p.Cover.X), up(100*p.Cover.U, 1),
			}
			if w.Skew != nil {
				want = append(want, one(p.Skew.X), up(p.Skew.U, 1))
			}
			if got := strings.Join(text[w.Number], " "); got != strings.Join(want, " ") {
				t.Fatalf("piece %d: text has %s, JSON means %s", w.Number, got, want)
			}
			if got := strings.Join(page[w.Number], " "); got != strings.Join(want, " ") {
				t.Fatalf("piece %d: page has %s, JSON means %s", w.Number, got, want)
			}
			checkCSV(t, rows[0], rows[i+1], w)
			lines := english.labelLines(p)
			if lines[1] != want[0]+" × "+want[2]+" mm" || lines[2] != want[6]+" ± "+want[7]+" g" {
				t.Fatalf("piece %d: picture has %q, JSON means %s", w.Number, lines, want)
			}
		}
	})
}

func one(v float64) string { return uncertainty.Decimal(v, 1) }

func up(v float64, digits int) string {
	scale := math.Pow10(digits)
	return uncertainty.Decimal(math.Ceil(v*scale-1e-6)/scale, digits)
}

var (
	tags    = regexp.MustCompile(`<[^>]*>`)
	numbers = regexp.MustCompile(`[0-9.]+`)
)

// plainRows finds the table's rows and the numbers in each after the first, the
// piece's own, by which they are keyed.
func plainRows(s, row string) map[int][]string {
	out := map[int][]string{}
	for _, m := range regexp.MustCompile(row).FindAllStringSubmatch(s, -1) {
		all := numbers.FindAllString(tags.ReplaceAllString(m[0], " "), -1)
		out[int(m[1][0]-'0')] = all[1:]
	}
	return out
}

func checkCSV(t *rapid.T, header, row []string, w written) {
	cells := map[string]string{}
	for i, name := range header {
		cells[name] = row[i]
	}
	raw, _ := json.Marshal(w)
	var want map[string]any
	json.Unmarshal(raw, &want)
	for name, v := range want {
		if name == "Number" {
			name = "piece"
		}
		b, _ := json.Marshal(v)
		if cells[name] != string(b) {
			t.Fatalf("piece %d: CSV has %s %q, JSON %s", w.Number, name, cells[name], b)
		}
	}
}

// No number in any JSON has more digits than its unit is worth.
func TestJSONDigits(t *testing.T) {
	r := sample()
	for i := range r.Pieces {
		p := &r.Pieces[i]
		p.Length.X, p.Taper.X, p.Cover.X, p.AxisDeg, p.Area.X = 80+1/3., 1/3., 1/3., 1/3., 2000+1/3.
		p.KobaWidth = piece.Of(1/3., 0.1)
	}
	r.Mat.ResidualMM, r.Mat.PxPerMM, r.Mat.PrintScale = 1/3., 1/3., 1/3.
	r.Tally.MeanLength = 1 / 3.
	var b bytes.Buffer
	fatal.If(t, JSON(&b, r))
	if long := regexp.MustCompile(`"[a-z_0-9]+":[-0-9.]*\.\d{5,}`).FindString(b.String()); long != "" {
		t.Errorf("%s has more digits than are known", long)
	}
	if n := strings.Count(b.String(), "\n"); n != 1 {
		t.Errorf("%d line ends, want 1: one report is one line", n)
	}
}
