package handout

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/table"
	"netagauge/internal/tell/figure"
)

// output is one file of a report, by its path from the report's folder.
type output struct {
	name string
	fill func(io.Writer) error
}

// Write puts everything about a class into a folder, which it makes: the board
// (HTML, SVG drawings), a page for each trainee, one PDF with both, the board as
// JSON, the tables as one XLSX and as CSV, in full digits where full. Files of an
// earlier class of the same names are replaced, others are left alone.
func (p Papers) Write(dir string, full bool) error {
	if err := os.MkdirAll(filepath.Join(dir, traineeDir), 0o755); err != nil {
		return phrase.Because(err, "ran-no-folder")
	}
	tables := Tables(p.Board)
	if !full {
		tables = table.Rounded(tables)
	}
	files := []output{
		{"board.html", p.BoardHTML},
		{"board.json", func(w io.Writer) error { return JSON(w, p.Board, p.Absent) }},
		{"class.pdf", p.PDF},
		{"class.xlsx", func(w io.Writer) error { return table.WriteXLSX(w, tables...) }},
	}
	for _, t := range tables {
		name := strings.ReplaceAll(t.Name, " ", "-") + ".csv"
		files = append(files, output{name, func(w io.Writer) error { return table.WriteCSV(w, t) }})
	}
	for i, t := range p.Trainees {
		files = append(files, output{pageName(i, t.Name), func(w io.Writer) error { return p.TraineeHTML(w, t) }})
	}
	for _, f := range files {
		if err := atomicfile.WriteTo(filepath.Join(dir, filepath.FromSlash(f.name)), f.fill); err != nil {
			return err
		}
	}
	return p.writeFigures(dir)
}

// writeFigures writes the drawings as files of their own.
func (p Papers) writeFigures(dir string) error {
	plots, err := p.classPlots()
	if err != nil {
		return err
	}
	for i, f := range plots {
		if err := writeSVG(filepath.Join(dir, fmt.Sprintf("class-%d.svg", i+1)), f.Figure); err != nil {
			return err
		}
	}
	for i, t := range p.Trainees {
		plots, err := p.traineePlots(t)
		if err != nil {
			return err
		}
		if len(t.Past) == 0 || len(plots) == 0 {
			continue
		}
		name := strings.TrimSuffix(pageName(i, t.Name), ".html") + "-progress.svg"
		if err := writeSVG(filepath.Join(dir, filepath.FromSlash(name)), plots[len(plots)-1].Figure); err != nil {
			return err
		}
	}
	return nil
}

func writeSVG(path string, f figure.Figure) error {
	svg, err := f.SVG()
	if err != nil {
		return err
	}
	return atomicfile.Write(path, svg)
}

// traineeDir holds the trainees' pages, beside the board.
const traineeDir = "trainees"

// pageName is where the page of the i-th trainee lies, from the board. The number
// makes it unique; of the name its letters and digits are kept, in any script.
func pageName(i int, name string) string {
	var safe strings.Builder
	n := 0
	for _, r := range norm.NFC.String(strings.ToLower(name)) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r):
			safe.WriteRune(r)
		case safe.Len() > 0 && !strings.HasSuffix(safe.String(), "-"):
			safe.WriteByte('-')
		}
		if n++; n == 30 {
			break
		}
	}
	readable := strings.Trim(safe.String(), "-")
	if readable == "" {
		readable = "trainee"
	}
	return fmt.Sprintf("%s/%02d-%s.html", traineeDir, i+1, readable)
}
