package serve

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/intake"
)

// A sentence begins large, in a language that has large letters.
func TestCapital(t *testing.T) {
	for in, want := range map[string]string{"": "", "all": "All", "éclair": "Éclair", "平均で": "平均で"} {
		if got := capital(in); got != want {
			t.Errorf("%q becomes %q", in, got)
		}
	}
}

// The picture of a slice that lies askew is turned so that the slice lies level, over
// the shape that is aimed for: by hand, a rectangle of the aim's own size at 30 and
// at 150 degrees has its corners on the aim's.
func TestSliceLiesLevel(t *testing.T) {
	house := standard.Default()
	for _, deg := range []float64{30, 150} {
		p := piece.Piece{State: piece.Measured, AxisDeg: deg}
		sin, cos := math.Sincos(deg * math.Pi / 180)
		for _, q := range []r2.Vec{{X: -40, Y: -17.5}, {X: 40, Y: -17.5}, {X: 40, Y: 17.5}, {X: -40, Y: 17.5}} {
			p.Outline = append(p.Outline, [2]float64{150 + q.X*cos - q.Y*sin, 100 + q.X*sin + q.Y*cos})
		}
		got := enlarged(piece.Tray{Mat: &piece.Mat{Name: "a4"}}, p, "", true, house)
		var drawn, aim []r2.Vec
		sin, cos = math.Sincos(got.Turn * math.Pi / 180) // as SVG turns, y down
		for _, q := range cornersOf(t, got.Points) {
			q = r2.Sub(q, got.Middle)
			drawn = append(drawn, r2.Vec{X: q.X*cos - q.Y*sin, Y: q.X*sin + q.Y*cos})
		}
		aim = cornersOf(t, got.Aim)
		for _, a := range aim {
			nearest := math.Inf(1)
			for _, d := range drawn {
				nearest = min(nearest, r2.Norm(r2.Sub(a, d)))
			}
			if nearest > 1 { // px of the screen, of which a millimetre has four
				t.Errorf("at %g°: the aim's corner %.1f lies %.1f px from the slice's, %.1f", deg, a, nearest, drawn)
			}
		}
	}
}

// "Too much" is said and hatched where a slice reaches over the aim so far that lines do
// not cover it: at 81 mm of 80 nothing shows, at 86 or at 40 wide of 35 it does.
func TestTooMuchIsSaidWhereItShows(t *testing.T) {
	house := standard.Default()
	for _, c := range []struct {
		long, wide float64
		over       bool
	}{{80, 35, false}, {81, 35, false}, {70, 30, false}, {86, 35, true}, {86, 30, true}, {70, 40, true}} {
		p := piece.Piece{State: piece.Measured, Outline: [][2]float64{{100, 100}, {100 + c.long, 100}, {100 + c.long, 100 + c.wide}, {100, 100 + c.wide}}}
		if got := enlarged(piece.Tray{Mat: &piece.Mat{Name: "a4"}}, p, "", true, house); got.Over != c.over {
			t.Errorf("%g × %g mm: too much shows: %v, want %v", c.long, c.wide, got.Over, c.over)
		}
	}
}

func cornersOf(t *testing.T, points string) (out []r2.Vec) {
	t.Helper()
	for _, at := range strings.Fields(points) {
		var q r2.Vec
		if _, err := fmt.Sscanf(at, "%f,%f", &q.X, &q.Y); err != nil {
			t.Fatalf("%q: %v", at, err)
		}
		out = append(out, q)
	}
	return out
}

// A gauge has the value where it lies between the limits, and keeps what lies far out
// at its rim.
func TestGauge(t *testing.T) {
	var g gauge
	g.set(standard.Limits{Low: 75, Aim: 80, High: 85}, piece.Of(80, 2.5))
	if g.At != gaugeWidth/2 || g.Aim.X != g.At || math.Abs((g.To-g.From)-g.Width()/2) > 1e-9 || g.Low.Text != "75" {
		t.Errorf("%+v", g)
	}
	g.set(standard.Limits{Low: 75, Aim: 80, High: 85}, piece.Of(140, 1))
	if g.At <= g.High.X || g.At >= gaugeWidth {
		t.Errorf("far out: %+v", g)
	}
}

// An outline keeps its corners when it is thinned, and its place in the frame.
func TestPoints(t *testing.T) {
	var dense [][2]float64
	for i := range 40 {
		dense = append(dense, [2]float64{10 + float64(i), 20})
	}
	dense = append(dense, [2]float64{50, 20}, [2]float64{50, 45}, [2]float64{10, 45})
	f := frame{box: r2.Box{Min: r2.Vec{X: 10, Y: 20}}, scale: 2}
	if got := points(f, dense); got != "0.0,0.0 80.0,0.0 80.0,50.0 0.0,50.0" {
		t.Error(got)
	}
	if got := (piece.Piece{Outline: [][2]float64{{0, 0}, {6, 0}, {0, 6}}}).Centre(); got != [2]float64{2, 2} { // a third of each side
		t.Error(got)
	}
}

// "Weight counts now" is said where it did not count before: by a second photo or
// by a scale, not by both one after the other, and not where each slice's thickness
// was told from the start.
func TestWeightNow(t *testing.T) {
	house := standard.Default()
	slices := []piece.Piece{
		{Number: 1, State: piece.Measured, Weight: piece.Of(12, 0.3), Area: piece.Of(2600, 20), Length: piece.Of(80, 1), Width: piece.Of(35, 1)},
		{Number: 2, State: piece.Measured, Weight: piece.Of(11, 0.3), Area: piece.Of(2500, 20), Length: piece.Of(79, 1), Width: piece.Of(35, 1)},
	}
	tray := grade.Tray{File: "1.jpg", Report: piece.Tray{Status: piece.TrayMeasured, Pieces: slices}}
	second := intake.Second{Hash: "x"}
	for name, c := range map[string]struct {
		shot intake.Shot
		want bool
	}{
		"nothing came":                  {intake.Shot{}, false},
		"a second photo":                {intake.Shot{Second: second}, true},
		"a scale":                       {intake.Shot{Ticket: ticket.Ticket{Weights: "1:12,2:11"}}, true},
		"a scale after a second photo":  {intake.Shot{Second: second, Ticket: ticket.Ticket{Weights: "1:12"}}, false},
		"single thicknesses, then both": {intake.Shot{Second: second, Ticket: ticket.Ticket{Thickness: "1:4.2,2:4"}}, false},
		"one thickness, then a second":  {intake.Shot{Second: second, Ticket: ticket.Ticket{Thickness: "4.2"}}, true},
	} {
		c.shot.Ticket.Standard = house
		if _, got := counted(tray, c.shot); got != c.want {
			t.Errorf("%s: said %v, want %v", name, got, c.want)
		}
	}
}

// A slice that may have been opened like a book is asked about on its page, and the
// tray has no lesson of it.
func TestOpenedSliceIsAskedAbout(t *testing.T) {
	house := standard.Default()
	p := piece.Piece{Number: 1, State: piece.Measured, Length: piece.Of(80, 0), Width: piece.Of(70, 0), Cover: piece.Of(1, 0)}
	house.Judge(&p, "general")
	for i, f := range p.Faults {
		for _, a := range coach.Piece(p, coach.TargetOf(house, "general"), coach.Cut{}) {
			if a.On == f.Of() {
				p.Faults[i].Says = a.Text
			}
		}
	}
	for _, l := range phrase.Languages() {
		said := pieceOf(l, p, nil, ticket.Ticket{Standard: house}).Says
		if want := l.Word("double-asked"); !strings.HasSuffix(said, want) {
			t.Errorf("%s: it says %q, want %q", l.Tag(), said, want)
		}
		if got := lessonOf(l, grade.Tray{Report: piece.Tray{Status: piece.TrayMeasured, Pieces: []piece.Piece{p}}}); got != nil {
			t.Errorf("%s: the lesson is %q", l.Tag(), got.Title)
		}
	}
}
