package report

import (
	"bytes"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

// The stored outputs come from an invented tray of an invented school.
func TestGolden(t *testing.T) {
	reports := []piece.Tray{sample(), refused(), unweighed()}
	var pages []Page
	for _, r := range reports {
		pages = append(pages, Page{Report: r})
	}
	for name, write := range map[string]func(*bytes.Buffer) error{
		"tray.txt":  func(b *bytes.Buffer) error { return english.Text(b, false, reports...) },
		"tray.csv":  func(b *bytes.Buffer) error { return CSV(b, reports...) },
		"tray.html": func(b *bytes.Buffer) error { return english.HTML(b, pages...) },
		"tray.jsonl": func(b *bytes.Buffer) error {
			for _, r := range reports {
				for i := range r.Pieces { // outlines are long and say nothing here
					r.Pieces[i].Outline = r.Pieces[i].Outline[:2]
				}
				if err := JSON(b, r); err != nil {
					return err
				}
			}
			return nil
		},
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			fatal.If(t, write(&b))
			golden(t, name, b.Bytes())
		})
	}
}
