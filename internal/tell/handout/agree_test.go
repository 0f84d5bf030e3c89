package handout

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/report"
)

// awkward values, whose second decimal rounds to a half that the first does not.
var awkward = []float64{82.0486, 79.9496, 75.0451, 84.95, 80.25, 76.549999}

// Every number of a class is the one rounding of its full value in every output:
// what people read to the measure's digits, files to those of its unit.
func TestEveryOutputAgrees(t *testing.T) {
	std := standard.Default()
	p := lesson()
	p.Words, p.Pictures = phrase.English(), func(board.Photo) ([]byte, error) { return nil, nil }
	tray := piece.Tray{Photo: piece.Photo{File: "0.jpg"}, Status: piece.TrayMeasured}
	for n, v := range awkward {
		x := sliceAt(0, n+1, std)
		x.Length, x.Width, x.Weight = piece.Of(v, 0.3451), piece.Of(v/2.3, 0.4049), piece.Of(v/7, 0.5449)
		x.Faults = nil
		std.Judge(&x, "")
		tray.Pieces = append(tray.Pieces, x)
	}
	trays := []grade.Tray{{File: "0.jpg", Report: tray}}
	p.Trainees = p.Trainees[:1]
	p.Trainees[0].Photos[0].File, p.Trainees[0].Photos[0].Slices = "0.jpg", grade.Slices(trays)
	dir := t.TempDir()
	fatal.If(t, p.Write(dir, false))
	read := readings(t, dir, p)
	var text bytes.Buffer
	fatal.If(t, (report.Words{Language: phrase.English()}).Text(&text, false, tray))
	read["the check's text"] = text.String()
	for _, x := range tray.Pieces {
		for _, m := range []*piece.Measure{piece.Length, piece.Width, piece.Weight} {
			v := *m.Of(&x)
			shown := uncertainty.PlusMinus(v.X, v.U, m.Digits)
			for where, text := range read {
				if !strings.Contains(text, shown) {
					t.Errorf("%s lacks %s, the one rounding of %v", where, shown, v.X)
				}
			}
		}
	}
	checkFiles(t, dir, tray.Pieces)
}

// readings are the texts of what people read.
func readings(t *testing.T, dir string, p Papers) map[string]string {
	t.Helper()
	out := map[string]string{}
	html, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(pageName(0, p.Trainees[0].Name))))
	fatal.If(t, err)
	out["the page"] = string(html)
	if _, err := exec.LookPath("pdftotext"); err == nil {
		text, err := exec.Command("pdftotext", "-layout", filepath.Join(dir, "class.pdf"), "-").Output()
		fatal.If(t, err)
		out["the PDF"] = string(text)
	}
	return out
}

// checkFiles holds JSON, CSV and XLSX to the same digits.
func checkFiles(t *testing.T, dir string, pieces []piece.Piece) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "board.json"))
	fatal.If(t, err)
	var class struct {
		Trainees []struct {
			Photos []struct{ Pieces []map[string]any }
		}
	}
	fatal.If(t, json.Unmarshal(data, &class))
	table, err := os.ReadFile(filepath.Join(dir, "pieces.csv"))
	fatal.If(t, err)
	rows, err := csv.NewReader(bytes.NewReader(table)).ReadAll()
	fatal.If(t, err)
	book, err := excelize.OpenFile(filepath.Join(dir, "class.xlsx"))
	fatal.If(t, err)
	defer book.Close()
	sheet, err := book.GetRows("pieces", excelize.Options{RawCellValue: true})
	fatal.If(t, err)
	for i, x := range pieces {
		for _, m := range []*piece.Measure{piece.Length, piece.Width, piece.Weight} {
			v := *m.Of(&x)
			for name, want := range map[string]float64{m.Column(): uncertainty.Round(v.X, m.Unit.Digits), m.ColumnU(): uncertainty.RoundUp(v.U, m.Unit.Digits)} {
				if got := class.Trainees[0].Photos[0].Pieces[i][name]; got != want {
					t.Errorf("JSON: %s of piece %d is %v, want %v", name, i+1, got, want)
				}
				for kind, cells := range map[string][][]string{"CSV": rows, "XLSX": sheet} {
					if got, _ := strconv.ParseFloat(cellOf(cells, i+1, name), 64); got != want {
						t.Errorf("%s: %s of piece %d is %v, want %v", kind, name, i+1, got, want)
					}
				}
			}
		}
	}
}

// cellOf is a row's cell under a head.
func cellOf(rows [][]string, row int, head string) string {
	for i, h := range rows[0] {
		if h == head && i < len(rows[row]) {
			return rows[row][i]
		}
	}
	return ""
}
