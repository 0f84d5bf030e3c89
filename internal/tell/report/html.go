package report

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"

	"netagauge/internal/core/piece"
	"netagauge/internal/tell/pagestyle"
)

// Page is one photo's part of an HTML report. Picture is the annotated picture
// as JPEG; it may be empty.
type Page struct {
	Report  piece.Tray
	Picture []byte
}

//go:embed report.html
var pageSource string

// template has the words of the language in it.
func (l Words) template() *template.Template {
	return template.Must(template.New("report").Funcs(template.FuncMap{
		"style": func() template.CSS { return pagestyle.CSS },
		"t":     l.Word, "lang": l.Tag, "kept": l.kept, "lessons": l.lessons,
		"shown": piece.Shown, "head": l.head, "cell": Cell, "columns": func() int { return len(piece.Shown()) + 1 },
		"state": l.state, "verdict": l.verdict, "tray": l.tray, "missing": l.missing, "mat": l.mat, "note": l.note,
		"fault":    func(p piece.Piece, m *piece.Measure) *piece.Fault { return faultPointer(p.Fault(m)) },
		"standard": l.standard, "sentence": l.sentence, "side": l.side, "surface": l.surface,
		"measured": func(p piece.Piece) bool { return p.State == piece.Measured },
		"thickness": func(p piece.Piece, part int) template.HTML {
			title := l.Word("how-thick")
			if ends := p.ThicknessMap.Ends(); len(ends) == 2 {
				title = l.Word("map-title", ends[0].Mean, ends[1].Mean)
			}
			return ThicknessPicture(p, fmt.Sprintf("map-%d-%d", part, p.Number), title)
		},
		"refused":  func(r piece.Tray) bool { return r.Status == piece.TrayRefused },
		"cautions": func() []string { return CautionKeys },
	}).Parse(pageSource))
}

// HTML writes a page that needs nothing else: no script, no font, no picture
// from outside. The numbers are those of Text.
func (l Words) HTML(w io.Writer, pages ...Page) error {
	type part struct {
		piece.Tray
		Picture template.URL
	}
	var parts []part
	for _, p := range pages {
		r, err := readable(p.Report)
		if err != nil {
			return err
		}
		uri, err := jpegURI(p.Picture)
		if err != nil {
			return fmt.Errorf("report on %q: %w", p.Report.Photo.File, err)
		}
		parts = append(parts, part{r, uri})
	}
	var b bytes.Buffer
	err := l.template().Execute(&b, struct{ Parts []part }{parts})
	if err != nil {
		return fmt.Errorf("write the page: %w", err)
	}
	_, err = w.Write(b.Bytes())
	return err
}

// jpegURI is safe to mark as such: its text is base64 of bytes that begin as a
// JPEG does.
func jpegURI(picture []byte) (template.URL, error) {
	if len(picture) == 0 {
		return "", nil
	}
	if !bytes.HasPrefix(picture, []byte{0xff, 0xd8, 0xff}) {
		return "", errors.New("the annotated picture is not a JPEG")
	}
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(picture)), nil
}

func faultPointer(f piece.Fault, ok bool) *piece.Fault {
	if !ok {
		return nil
	}
	return &f
}
