package handout

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/acceptance"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/shape"
	"netagauge/internal/tell/telltest"
)

// A certificate is whole on its page and fits a terminal in every language, also one
// that fails, with names of 40 characters for photo and phone.
func TestCertificateIsWhole(t *testing.T) {
	l, err := mat.ToPrint("a4", false)
	fatal.If(t, err)
	sheet, err := acceptance.SheetFor(l)
	fatal.If(t, err)
	seen := acceptance.Photographed{Mat: l.Name, Taken: time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC), Card: 0.985, CardU: 0.003}
	for _, s := range sheet.Shapes {
		o := make(shape.Outline, len(s.Outline))
		for i, p := range s.Outline { // as a printer of 97 % draws it
			p.X, p.Y = 0.97*p.X, 0.97*p.Y
			o[i] = p
		}
		seen.Outlines = append(seen.Outlines, o)
	}
	dir := telltest.Look(t)
	for _, say := range phrase.Languages() {
		for i, name := range telltest.LongNames {
			seen.Photo, seen.Phone = name+".jpg", telltest.LongNames[2-i]
			c, err := acceptance.Certify(sheet, seen, 0, acceptance.Usual)
			fatal.If(t, err)
			if c.Passed() {
				t.Error("a print at 97 % passes")
			}
			var b bytes.Buffer
			fatal.If(t, Certificate(&b, c, seen.Taken, say))
			file := "certificate-" + say.Tag() + ".pdf"
			fatal.If(t, os.WriteFile(filepath.Join(dir, file), b.Bytes(), 0o600))
			telltest.Whole(t, file, b.Bytes(), pdfMargin-1)
			text := CertificateText(c, seen.Taken, say)
			telltest.Fits(t, text)
			telltest.Says(t, text, seen.Photo, seen.Phone, say.Must(c.Verdict()))
		}
	}
}
