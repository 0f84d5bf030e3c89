package line

import (
	"io"
	"os"
	"path/filepath"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// Report writes the line into a folder: the page and each drawing in a language, and the
// tables, full to the last digit or rounded. It answers where the page is.
func (l Line) Report(dir string, in *phrase.Language, full bool, taken map[int64]piece.Tray) (page string, err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", phrase.Because(err, "ran-no-folder")
	}
	page = filepath.Join(dir, "line.html")
	for path, fill := range map[string]func(io.Writer) error{
		page:                            func(w io.Writer) error { return l.HTML(w, in) },
		filepath.Join(dir, "line.json"): func(w io.Writer) error { return l.JSON(w, taken) },
		filepath.Join(dir, "line.csv"):  func(w io.Writer) error { return l.CSV(w, full) },
	} {
		if err := atomicfile.WriteTo(path, fill); err != nil {
			return "", err
		}
	}
	for _, m := range l.Measures {
		figures, err := m.Figures(in, l.Checks)
		if err != nil {
			return "", err
		}
		for i, f := range figures {
			svg, err := f.SVG()
			if err != nil {
				return "", err
			}
			if err := atomicfile.Write(filepath.Join(dir, m.Name+[]string{"-mean", "-s"}[i]+".svg"), svg); err != nil {
				return "", err
			}
		}
	}
	return page, nil
}
