package handout

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/table"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/figure"
)

// output is one file of a report, by its path from the report's folder.
type output struct {
	name string
	fill func(io.Writer) error
}

// Write puts everything about a class into a folder, which it makes: the board
// (HTML, SVG drawings), a page for each trainee, one PDF with both, the tables
// as one XLSX and as CSV. Files of an earlier class of the same names are
// replaced, others are left alone.
func Write(dir string, b board.Board, absent []string, pictures Pictures) error {
	if err := os.MkdirAll(filepath.Join(dir, traineeDir), 0o755); err != nil {
		return fmt.Errorf("make the folder of the report: %w", cause(err))
	}
	files := []output{
		{"board.html", func(w io.Writer) error { return BoardHTML(w, b, absent) }},
		{"class.pdf", func(w io.Writer) error { return PDF(w, b, absent, pictures) }},
		{"class.xlsx", func(w io.Writer) error { return table.WriteXLSX(w, Tables(b)...) }},
	}
	for _, t := range Tables(b) {
		name := strings.ReplaceAll(t.Name, " ", "-") + ".csv"
		files = append(files, output{name, func(w io.Writer) error { return table.WriteCSV(w, t) }})
	}
	for i, t := range b.Trainees {
		files = append(files, output{pageName(i, t.Name), func(w io.Writer) error { return TraineeHTML(w, b, t, pictures) }})
	}
	for _, f := range files {
		if err := atomicfile.WriteTo(filepath.Join(dir, filepath.FromSlash(f.name)), f.fill); err != nil {
			return err
		}
	}
	return writeFigures(dir, b)
}

// writeFigures writes the drawings as files of their own.
func writeFigures(dir string, b board.Board) error {
	figs, err := classFigures(b)
	if err != nil {
		return err
	}
	for i, f := range figs {
		if err := writeSVG(filepath.Join(dir, fmt.Sprintf("class-%d.svg", i+1)), f); err != nil {
			return err
		}
	}
	for i, t := range b.Trainees {
		figs, err := traineeFigures(b, t)
		if err != nil {
			return err
		}
		if len(t.Past) == 0 || len(figs) == 0 {
			continue
		}
		name := strings.TrimSuffix(pageName(i, t.Name), ".html") + "-progress.svg"
		if err := writeSVG(filepath.Join(dir, filepath.FromSlash(name)), figs[len(figs)-1]); err != nil {
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

// pageName is where the page of the i-th trainee lies, from the board. The
// number makes it unique; of the name only what every file system takes is kept.
func pageName(i int, name string) string {
	var safe strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			safe.WriteRune(r)
		case safe.Len() > 0 && !strings.HasSuffix(safe.String(), "-"):
			safe.WriteByte('-')
		}
		if safe.Len() == 30 {
			break
		}
	}
	return fmt.Sprintf("%s/%02d-%s.html", traineeDir, i+1, strings.Trim(safe.String(), "-"))
}

func cause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return fmt.Errorf("%q: %w", path.Path, path.Err)
	}
	return err
}
