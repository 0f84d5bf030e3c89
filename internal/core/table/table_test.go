package table

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

func sample() Table {
	v := 12.5
	var unknown *float64
	t := Table{Name: "slices", Head: []string{"name", "n", "weight g", "share", "day", "ok"}}
	day := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	t.Add(`=1+1`, 3, &v, 0.25, day, true)
	t.Add("line\nbreak, \"quoted\" 🍣 <b>", 4, unknown, nil, day, false)
	return t
}

// RFC 4180: CRLF between records, quotes doubled, line breaks inside quotes.
func TestCSV(t *testing.T) {
	var out bytes.Buffer
	fatal.If(t, WriteCSV(&out, sample()))
	want := "name,n,weight g,share,day,ok\r\n'=1+1,3,12.5,0.25,2026-11-25,true\r\n\"line\r\nbreak, \"\"quoted\"\" 🍣 <b>\",4,,,2026-11-25,false\r\n"
	if out.String() != want {
		t.Errorf("got\n%q\nwant\n%q", out.String(), want)
	}
}

func TestCSVRefusesWhatIsNoNumber(t *testing.T) {
	for _, v := range []any{math.NaN(), math.Inf(1), struct{}{}} {
		if err := WriteCSV(io.Discard, Table{Head: []string{"x"}, Rows: [][]any{{v}}}); err == nil {
			t.Errorf("%v was written", v)
		}
	}
}

func FuzzGuard(f *testing.F) {
	for _, s := range []string{"=1", " +1", "-", "@a", "\tx", "plain", "", "＝1", "\r", "a\r\nb"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Guard(s)
		if rest := strings.TrimLeft(got, " "); rest != "" && strings.ContainsAny(rest[:1], "=+-@\t\r\n") {
			t.Errorf("%q still opens a formula", got)
		}
		if strings.TrimPrefix(got, "'") != strings.TrimPrefix(s, "'") {
			t.Errorf("%q became %q", s, got)
		}
		var out bytes.Buffer
		fatal.If(t, WriteCSV(&out, Table{Head: []string{"x"}, Rows: [][]any{{s}}}))
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil {
			t.Fatalf("%q: %v", s, err)
		}
		// An empty line is no record; line ends are all alike.
		if s != "" && (len(rows) != 2 || rows[1][0] != lineEnds.Replace(got)) {
			t.Errorf("%q came back as %q", s, rows)
		}
	})
}

// cell is one cell as ECMA-376 writes it.
type cell struct {
	Ref     string  `xml:"r,attr"`
	Type    string  `xml:"t,attr"`
	Style   string  `xml:"s,attr"`
	Value   string  `xml:"v"`
	Inline  string  `xml:"is>t"`
	Formula *string `xml:"f"`
}

// The workbook is read here as plain ECMA-376 XML, not with the library that
// wrote it.
func TestXLSX(t *testing.T) {
	var out bytes.Buffer
	fatal.If(t, WriteXLSX(&out, sample(), Table{Name: "empty", Head: []string{"nothing"}}))
	z, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	fatal.If(t, err)
	f, err := z.Open("xl/worksheets/sheet1.xml")
	fatal.If(t, err)
	var sheet struct {
		Cells []cell `xml:"sheetData>row>c"`
	}
	fatal.If(t, xml.NewDecoder(f).Decode(&sheet))
	by := map[string]cell{}
	for _, c := range sheet.Cells {
		if c.Formula != nil {
			t.Errorf("%s is a formula: %q", c.Ref, *c.Formula)
		}
		by[c.Ref] = c
	}
	if c := by["A2"]; c.Type != "inlineStr" || c.Inline != "=1+1" {
		t.Errorf("A2 %+v: not the text it was", c)
	}
	// Day 46351 of the 1900 system is 2026-11-25: 45658 is 2025-01-01 (from
	// memory), and 693 days lie between.
	for ref, want := range map[string]string{"B2": "3", "C2": "12.5", "D2": "0.25", "E2": "46351"} {
		if c := by[ref]; c.Value != want || c.Type != "" && c.Type != "n" {
			t.Errorf("%s %+v, want the number %s", ref, c, want)
		}
	}
	if c := by["C3"]; c.Value != "" {
		t.Errorf("C3 %+v: an unknown number must stay empty", c)
	}
	if c := by["A3"]; c.Inline != "line\nbreak, \"quoted\" 🍣 <b>" {
		t.Errorf("A3 %q", c.Inline)
	}
}
