package handout

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/pagestyle"
)

//go:embed board.html trainee.html
var sources embed.FS

// funcs say everything on a page in one language.
func (l words) funcs() template.FuncMap {
	return template.FuncMap{
		"t": l.Word, "say": l.Must, "lang": l.Tag, "style": func() template.CSS { return pagestyle.CSS },
		"day": l.day, "criteria": judged, "criterion": l.criterion, "count": l.count, "heads": l.countHeads, "counts": countCells,
		"missing": l.missing, "nothing": l.nothing, "share": l.share, "spread": l.spread, "head": l.head,
		"grade": l.grade, "points": l.points, "trend": l.trend, "why": l.why, "cell": sliceCell, "judged": piece.Judged, "banded": standard.Banded,
		"verdict": l.verdict, "other": l.other, "earned": l.earned, "page": pageName,
		"inc":      func(i int) int { return i + 1 },
		"columns":  func() int { return 2 + len(piece.Judged()) },
		"outside":  func(c grade.Criterion) string { return l.outside(c, severalPhotos(c)) },
		"cautions": l.cautions, "caution": l.caution,
	}
}

func severalPhotos(c grade.Criterion) bool {
	for _, r := range c.Outside {
		if r.File != c.Outside[0].File {
			return true
		}
	}
	return false
}

// drawn is a drawing on a page.
type drawn struct {
	URL template.URL
	Alt string
}

// BoardHTML writes the class board and the teacher's view as one page that
// needs nothing else; the names link to the pages of TraineeHTML beside it.
func (p Papers) BoardHTML(w io.Writer) error {
	on, err := onPage(p.classPlots())
	if err != nil {
		return err
	}
	return p.execute(w, "board.html", struct {
		Papers
		NotCounted []string
		Plots      []drawn
	}{p, p.notCounted(), on})
}

// TraineeHTML writes one trainee's page, which needs nothing else.
func (p Papers) TraineeHTML(w io.Writer, t board.Trainee) error {
	type photo struct {
		board.Photo
		Picture template.URL
	}
	var photos []photo
	for _, x := range t.Photos {
		jpeg, err := p.Pictures(x)
		if err != nil {
			return err
		}
		photos = append(photos, photo{x, uri("image/jpeg", jpeg)})
	}
	on, err := onPage(p.traineePlots(t))
	if err != nil {
		return err
	}
	return p.execute(w, "trainee.html", struct {
		Papers
		Trainee board.Trainee
		Photos  []photo
		Plots   []drawn
	}{p, t, photos, on})
}

func (p Papers) execute(w io.Writer, name string, data any) error {
	pages, err := template.New("").Funcs(p.say().funcs()).ParseFS(sources, "*.html")
	if err != nil {
		return fmt.Errorf("read the page's template: %w", err)
	}
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, data); err != nil {
		return fmt.Errorf("write the page: %w", err)
	}
	_, err = w.Write(b.Bytes())
	return err
}

func onPage(plots []plot, err error) (out []drawn, _ error) {
	if err != nil {
		return nil, err
	}
	for _, p := range plots {
		svg, err := p.SVG()
		if err != nil {
			return nil, err
		}
		out = append(out, drawn{uri("image/svg+xml", svg), p.Alt})
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
