package report

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"netagauge/internal/core/piece"
)

// mapped is a slice of 80 × 36 mm whose thickness runs evenly from one end to
// the other; the first cell of each row lies beyond it.
func mapped(from, to float64) piece.Piece {
	p := piece.Piece{Number: 3, State: piece.Measured, Thickness: piece.Of((from+to)/2, 0), Outline: [][2]float64{{100, 50}, {180, 50}, {180, 86}, {100, 86}}}
	p.ThicknessMap = &piece.ThicknessMap{First: [2]float64{97.5, 52}, Along: [2]float64{5, 0}, Across: [2]float64{0, 4}}
	for range 9 {
		cells := make([]*float64, 17)
		for col := 1; col < len(cells); col++ {
			cells[col] = ptr(from + (to-from)*float64(col-1)/15)
		}
		p.ThicknessMap.Thickness = append(p.ThicknessMap.Thickness, cells)
	}
	return p
}

func TestThicknessPicture(t *testing.T) {
	svg := string(ThicknessPicture(mapped(3, 5), "a<b", "3.2 & 4.8"))
	d := xml.NewDecoder(strings.NewReader(svg))
	var cells []string
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v\n%s", err, svg)
		}
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "polygon" {
			for _, a := range e.Attr {
				if a.Name.Local == "fill" && a.Value != "none" {
					cells = append(cells, a.Value)
				}
			}
		}
	}
	if len(cells) != 9*16 {
		t.Fatalf("%d cells are drawn, want %d", len(cells), 9*16)
	}
	// Colours are #rrggbb: the larger, the lighter.
	if !(cells[0] > cells[8] && cells[8] > cells[15]) {
		t.Errorf("from thin to thick the colours are %v: not ever darker", cells[:16])
	}
	// Ends are fifths of 16 cells: the mean of the outer three or four columns.
	for _, want := range []string{">3.2<", ">4.8<", "3.2 &amp; 4.8"} {
		if !strings.Contains(svg, want) {
			t.Errorf("%q is not in the picture:\n%s", want, svg)
		}
	}
}

// An even slice has one colour; without a map there is no picture.
func TestEvenAndUnknown(t *testing.T) {
	svg := string(ThicknessPicture(mapped(4.1, 4.1), "m", ""))
	if n := strings.Count(svg, fmt.Sprintf("fill=%q", shade(0))); n != 9*16 {
		t.Errorf("of %d cells of an even slice %d have the middle colour", 9*16, n)
	}
	p := mapped(3, 5)
	p.ThicknessMap = nil
	if svg := ThicknessPicture(p, "m", ""); svg != "" {
		t.Errorf("a picture without a map: %s", svg)
	}
}

// The means at the ends of a slice that stands upright and narrow are not cut off: each
// takes some 20 mm, 7 mm high as it is.
func TestMeansAreWithinTheirPicture(t *testing.T) {
	p := mapped(3, 5)
	for i, q := range p.Outline {
		p.Outline[i] = [2]float64{q[1], q[0]}
	}
	m := p.ThicknessMap
	m.First, m.Along, m.Across = [2]float64{m.First[1], m.First[0]}, [2]float64{m.Along[1], m.Along[0]}, [2]float64{m.Across[1], m.Across[0]}
	for row := range m.Thickness { // the outer half is not known
		for col := range m.Thickness[row] {
			if row > 2 {
				m.Thickness[row][col] = nil
			}
		}
	}
	var x, y, wide, high float64
	svg := string(ThicknessPicture(p, "m", ""))
	if _, err := fmt.Sscanf(svg[strings.Index(svg, "viewBox="):], `viewBox="%f %f %f %f"`, &x, &y, &wide, &high); err != nil {
		t.Fatal(err)
	}
	for _, e := range m.Ends() {
		if e.At[0]-10 < x || e.At[0]+10 > x+wide || e.At[1]-3.5 < y || e.At[1]+3.5 > y+high {
			t.Errorf("a mean at %.1f is cut off by %g, %g, %g × %g", e.At, x, y, wide, high)
		}
	}
}

// The ends of a slice that gets thicker along its axis are written so.
func TestEndsAreWritten(t *testing.T) {
	p := piece.Piece{Thickness: piece.Of(5, 0.1), WedgeAlong: piece.Of(1, 0.1)}
	if first, last := endLabel(p, -0.4), endLabel(p, 0.4); first != "t 4.6" || last != "t 5.4" {
		t.Errorf("%q and %q, want t 4.6 and t 5.4", first, last)
	}
}
