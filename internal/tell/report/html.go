package report

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"
	"sync"
)

// Page is one photo's part of an HTML report. Picture is the annotated picture
// as JPEG; it may be empty.
type Page struct {
	Report  Report
	Picture []byte
}

//go:embed report.html
var pageSource string

var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("report").Funcs(pageFuncs).Parse(pageSource))
})

var pageFuncs = template.FuncMap{
	"length": lengthText, "width": widthText, "area": areaText, "weight": weightText, "cover": coverText,
	"state": stateText, "verdict": verdictWord, "tray": trayText, "mat": matText, "note": weightNote,
	"fault":    func(p Piece, column string) *Fault { return faultPointer(faultOn(p, column)) },
	"sentence": Fault.sentence, "side": Fault.side, "faultVerdict": faultVerdict, "surface": surfaceText,
	"measured": func(p Piece) bool { return p.State == PieceMeasured },
	"thickness": func(p Piece, part int) template.HTML {
		title := "thickness"
		if one, other, ok := p.ThicknessMap.Ends(); ok {
			title = fmt.Sprintf("thickness: %s mm at one end, %s mm at the other", decimal(one, 1), decimal(other, 1))
		}
		return ThicknessPicture(p, fmt.Sprintf("map-%d-%d", part, p.Number), title)
	},
	"refused": func(r Report) bool { return r.Status == Refused },
}

// HTML writes a page that needs nothing else: no script, no font, no picture
// from outside. The numbers are those of Text.
func HTML(w io.Writer, pages ...Page) error {
	type part struct {
		Report
		Picture template.URL
	}
	var parts []part
	for _, p := range pages {
		r, err := rounded(p.Report, printable)
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
	err := pageTemplate().Execute(&b, struct {
		Parts    []part
		Cautions []string
	}{parts, Cautions})
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

func faultPointer(f Fault, ok bool) *Fault {
	if !ok {
		return nil
	}
	return &f
}
