package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"strings"
	"testing"
	"unicode"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/table"
)

// hostile are names that try to break out of each format.
var hostile = []string{
	`<script>alert(1)</script>.jpg`,
	`"><img src=x onerror=alert(1)>`,
	"red\x1b[31m\x1b]0;title\x07.jpg",
	"clear\u009b2J\x7f.jpg",
	"gpj.\u202eexe.jpg",
	"two\nlines\r\n{\"pieces\":[]}\t.jpg",
	"=HYPERLINK(\"http://x\")", "+1+1", "-1", "@SUM(A1)", "\t=1", " =1", "＝1",
	"not\xffutf8", "\U000e0001tag", `quote".jpg`, "comma,.jpg", "{{.}}", "%s%d%n",
}

func reportNamed(s string) piece.Tray {
	r := sample()
	r.Photo.File, r.Species, r.Standard, r.Mat.Name, r.Pieces[6].Reason = s, s, s, s, s
	r.Problems[0].Message, r.Problems[0].Remedy = s, s
	r.Pieces[1].Faults[0].Advice, r.Pieces[1].Faults[0].What = s, s
	r.Tally.Advice = []string{s}
	return r
}

func TestHostileNames(t *testing.T) {
	for _, name := range hostile {
		r := reportNamed(name)
		outputs := map[string]func(io.Writer) error{
			"text": func(w io.Writer) error { return english.Text(w, false, r) },
			"json": func(w io.Writer) error { return JSON(w, r) },
			"csv":  func(w io.Writer) error { return CSV(w, r) },
			"html": func(w io.Writer) error { return english.HTML(w, Page{Report: r}) },
		}
		clean := map[string]string{}
		for format, write := range outputs {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatalf("%s, name %q: %v", format, name, err)
			}
			clean[format] = b.String()
			for _, c := range b.String() {
				if !unicode.IsPrint(c) && c != '\n' && !(format == "csv" && c == '\r') {
					t.Errorf("%s, name %q: the output holds %U", format, name, c)
					break
				}
			}
		}
		checkJSONName(t, name, clean["json"])
		checkCSVName(t, name, clean["csv"])
		if s := strings.ToLower(clean["html"]); strings.Contains(s, "<script") || strings.Contains(s, "<img") {
			t.Errorf("name %q became markup", name)
		}
		if got, want := strings.Count(unfolded(t, name), "\n"), strings.Count(unfolded(t, "plain"), "\n"); got != want {
			t.Errorf("name %q: text has %d lines, want %d", name, got, want)
		}
	}
}

// unfolded is the text before its long lines are broken.
func unfolded(t *testing.T, name string) string {
	t.Helper()
	r, err := readable(reportNamed(name))
	fatal.If(t, err)
	out := english.text(false)
	out.photo(r)
	return out.String()
}

// JSON gives the name back exactly, but for bytes that are no text at all.
func checkJSONName(t *testing.T, name, line string) {
	var r piece.Tray
	if err := json.Unmarshal([]byte(line), &r); err != nil {
		t.Fatalf("name %q: %v", name, err)
	}
	if want := strings.ToValidUTF8(name, "\ufffd"); r.Photo.File != want || strings.Count(line, "\n") != 1 {
		t.Errorf("name %q came back as %q", name, r.Photo.File)
	}
}

func checkCSVName(t *testing.T, name, table string) {
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil || len(rows) != 8 {
		t.Fatalf("name %q: %d rows, %v", name, len(rows), err)
	}
	for _, row := range rows[1:] {
		if opensFormula(row[0]) {
			t.Errorf("name %q: cell %q opens a formula", name, row[0])
		}
	}
}

func opensFormula(cell string) bool {
	return strings.IndexFunc(strings.TrimLeft(cell, " "), func(r rune) bool { return strings.ContainsRune("=+-@\t\r\n＝＋－＠", r) }) == 0
}

func FuzzCell(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := table.Guard(Printable(s))
		if opensFormula(got) {
			t.Errorf("%q became %q, which opens a formula", s, got)
		}
		if strings.ContainsFunc(got, notPrint) {
			t.Errorf("%q became %q, which holds a control character", s, got)
		}
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.Write([]string{got, "end"})
		w.Flush()
		row, err := csv.NewReader(&b).Read()
		if err != nil || len(row) != 2 || row[0] != got {
			t.Errorf("%q came back as %q, %v", got, row, err)
		}
	})
}

// A number that is not finite is never written: every output says where it is.
func TestNotFinite(t *testing.T) {
	for place, spoil := range map[string]func(*piece.Tray){
		"pieces, item 2: length_mm":        func(r *piece.Tray) { r.Pieces[1].Length.X = math.NaN() },
		"pieces, item 1: weight_g":         func(r *piece.Tray) { r.Pieces[0].Weight.U = math.Inf(1) },
		"item 4: outline_mm":               func(r *piece.Tray) { r.Pieces[3].Outline[5][1] = math.Inf(-1) },
		"residual_mm":                      func(r *piece.Tray) { r.Mat.ResidualMM = math.NaN() },
		"item 2: faults, item 1: measured": func(r *piece.Tray) { r.Pieces[1].Faults[0].Measured = math.NaN() },
	} {
		r := sample()
		spoil(&r)
		var b bytes.Buffer
		for format, err := range map[string]error{
			"text": english.Text(&b, false, r), "json": JSON(&b, r), "html": english.HTML(&b, Page{Report: r}),
			"csv": CSV(io.Discard, r), "picture": english.Annotate(tableau(1), 1, r, ball),
		} {
			if err == nil || !strings.Contains(err.Error(), place) || !strings.Contains(err.Error(), r.Photo.File) {
				t.Errorf("%s: error %v does not name the photo and %q", format, err, place)
			}
		}
		if b.Len() != 0 {
			t.Errorf("%s: something was written: %q", place, b.String())
		}
	}
}
