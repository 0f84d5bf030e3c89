package handout

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"sync"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/figure"
	"netagauge/internal/tell/pagestyle"
	"netagauge/internal/tell/report"
)

//go:embed board.html trainee.html
var sources embed.FS

// pages are the templates; what a page alone knows is set before it is run.
var pages = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(pageFuncs).ParseFS(sources, "*.html"))
})

var pageFuncs = template.FuncMap{
	"say":   say,
	"style": func() template.CSS { return pagestyle.CSS },
	"day":   dayText, "ticket": ticketText, "criteria": judged, "count": countText, "heads": countColumns, "counts": countCells, "missing": missingText, "nothing": nothingText, "counting": countingText, "share": shareText, "spread": spreadText,
	"grade": gradeText, "points": pointsText, "trend": trendText, "why": faultText, "cell": sliceCell, "judged": piece.Judged, "banded": standard.Banded,
	"verdict": verdictText, "other": otherText, "criterion": criterionPoints, "page": pageName,
	"inc":      func(i int) int { return i + 1 },
	"columns":  func() int { return 2 + len(piece.Judged()) },
	"outside":  func(c grade.Criterion) string { return outsideText(c, severalPhotos(c)) },
	"cautions": func() []string { return report.Cautions() },
	"caution":  func() string { return report.Caution() },
}

func severalPhotos(c grade.Criterion) bool {
	for _, r := range c.Outside {
		if r.File != c.Outside[0].File {
			return true
		}
	}
	return false
}

// BoardHTML writes the class board and the teacher's view as one page that
// needs nothing else; the names link to the pages of TraineeHTML beside it.
func BoardHTML(w io.Writer, b board.Board, absent []string) error {
	figs, err := classFigures(b)
	if err != nil {
		return err
	}
	plots, err := plotURIs(figs)
	if err != nil {
		return err
	}
	return execute(w, "board.html", struct {
		board.Board
		Absent  []string
		Refused []board.Photo
		Plots   []template.URL
	}{b, absent, refused(b), plots})
}

func refused(b board.Board) []board.Photo {
	var out []board.Photo
	for _, t := range b.Trainees {
		for _, p := range t.Photos {
			if p.Refused {
				out = append(out, p)
			}
		}
	}
	return out
}

// Pictures returns the annotated JPEG of a photo's result; it may be empty.
type Pictures func(result int64) ([]byte, error)

// TraineeHTML writes one trainee's page, which needs nothing else.
func TraineeHTML(w io.Writer, b board.Board, t board.Trainee, pictures Pictures) error {
	type photo struct {
		board.Photo
		Picture template.URL
	}
	var photos []photo
	for _, p := range t.Photos {
		jpeg, err := pictures(p.Result)
		if err != nil {
			return err
		}
		photos = append(photos, photo{p, uri("image/jpeg", jpeg)})
	}
	figs, err := traineeFigures(b, t)
	if err != nil {
		return err
	}
	plots, err := plotURIs(figs)
	if err != nil {
		return err
	}
	return execute(w, "trainee.html", struct {
		board.Board
		Trainee board.Trainee
		Photos  []photo
		Plots   []template.URL
	}{b, t, photos, plots})
}

func execute(w io.Writer, name string, data any) error {
	var b bytes.Buffer
	if err := pages().ExecuteTemplate(&b, name, data); err != nil {
		return fmt.Errorf("write the page: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

func plotURIs(figs []figure.Figure) ([]template.URL, error) {
	var out []template.URL
	for _, f := range figs {
		svg, err := f.SVG()
		if err != nil {
			return nil, err
		}
		out = append(out, uri("image/svg+xml", svg))
	}
	return out, nil
}

// uri is safe to mark as such: it is base64 of a picture, and a picture in an
// img element runs no script.
func uri(kind string, picture []byte) template.URL {
	if len(picture) == 0 {
		return ""
	}
	return template.URL("data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(picture))
}
