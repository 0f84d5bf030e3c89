package residual

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/weight"
)

// The drawing is well-formed, carries every piece as a dot, and a name with
// marks of its own stays text.
func TestSVG(t *testing.T) {
	p := weight.Profile{Species: "salmon", Cutter: "<b>A</b>"}
	for i, g := range []float64{10.1, 12.3, 9.2, 14.6, 11.9} {
		p.Pieces = append(p.Pieces, weight.Sample{Photo: "t.jpg", Number: i + 1, Area: 230 * g, Grams: g + 0.1*float64(i%2)})
	}
	f, err := p.Fit()
	fatal.If(t, err)
	svg, err := SVG(f)
	fatal.If(t, err)
	d := xml.NewDecoder(strings.NewReader(string(svg)))
	arcs := 0
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if e.Name.Local == "b" {
			t.Error("the cutter's name became markup")
		}
		for _, a := range e.Attr {
			if e.Name.Local == "path" && a.Name.Local == "d" && strings.Contains(a.Value, "A") {
				arcs++
			}
		}
	}
	if arcs != len(p.Pieces) {
		t.Errorf("%d dots are drawn for %d pieces", arcs, len(p.Pieces))
	}
}
