package stereo

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func surfaceOf(t *testing.T, p Pair) Surface {
	t.Helper()
	s, err := p.Surface(long)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A stack of ID-1 cards is 0.76 mm high each (ISO/IEC 7810); a textured block of
// known height comes out at every height.
func TestStackOfCards(t *testing.T) {
	for _, cards := range []int{1, 3, 6, 10} {
		want := 0.76 * float64(cards)
		t.Run(fmt.Sprint(cards), func(t *testing.T) {
			s := surfaceOf(t, slab(flat(want)).pair(r2.Vec{}))
			r := s.Read()
			if !r.Known || math.Abs(r.Top.X-want) > 0.1 || math.Abs(r.Top.X-want) > 2*r.Top.U {
				t.Errorf("%d cards of 0.76 mm are read as %.3f ± %.3f mm (known: %v), want %.2f", cards, r.Top.X, 2*r.Top.U, r.Known, want)
			}
			if r.Koba == Yes {
				t.Errorf("a stack of cards is said to have a koba %.1f mm wide", r.Width.X)
			}
		})
	}
}

// A slice thicker at one end and one side.
func TestWedge(t *testing.T) {
	s := surfaceOf(t, slab(func(x, y float64) float64 { return 4.5 + 0.012*x - 0.02*y }).pair(r2.Vec{}))
	r := s.Read()
	if w := 0.012 * 80; math.Abs(r.Along.X-w) > 0.25 {
		t.Errorf("%.2f mm thicker at one end are read as %.2f", w, r.Along.X)
	}
	if w := -0.02 * 34; math.Abs(r.Across.X-w) > 0.25 {
		t.Errorf("%.2f mm across are read as %.2f", w, r.Across.X)
	}
	if math.Abs(r.Top.X-4.5) > 0.1 {
		t.Errorf("a wedge of 4.5 mm in the mean is read as %.2f", r.Top.X)
	}
}

// step is a koba along the edge at y = 17·side.
func step(side, width, drop float64) func(x, y float64) float64 {
	return func(_, y float64) float64 {
		return 4.6 - drop*math.Max(0, 1-(17-side*y)/width)
	}
}

func TestKoba(t *testing.T) {
	for _, c := range []struct{ side, width, drop float64 }{{1, 4, 2}, {-1, 5.5, 2.2}, {1, 3, 1.8}} {
		r := surfaceOf(t, slab(step(c.side, c.width, c.drop)).pair(r2.Vec{})).Read()
		if r.Koba != Yes || math.Abs(r.Width.X-c.width) > 1 {
			t.Errorf("a koba %.1f mm wide: answer %d, %.2f mm", c.width, r.Koba, r.Width.X)
		}
		// The facet takes a triangle of width by drop off the section.
		if want := 4.6 - c.width*c.drop/2/34; math.Abs(r.Top.X-want) > 0.1 {
			t.Errorf("mean height %.3f mm, want %.3f", r.Top.X, want)
		}
	}
}

// A koba that is missing along a part of its edge is told as broken, a whole one is
// not.
func TestBrokenKoba(t *testing.T) {
	whole := step(1, 5, 2.2)
	for name, c := range map[string]struct {
		top  func(x, y float64) float64
		want Answer
	}{
		"whole": {whole, No},
		"broken": {func(x, y float64) float64 {
			if x > -8 && x < 16 {
				return 4.6
			}
			return whole(x, y)
		}, Yes},
	} {
		if r := surfaceOf(t, slab(c.top).pair(r2.Vec{})).Read(); r.Koba != Yes || r.Broken != c.want {
			t.Errorf("a %s koba: there %d, broken %d; want %d", name, r.Koba, r.Broken, c.want)
		}
	}
}

// A koba too narrow for its texture to be followed is told by the outlines, from
// cameras to either side of it: its edge is seen lower. Walls that lean move both
// sides and are none.
func TestOutlinesTellAKoba(t *testing.T) {
	for _, c := range []struct {
		name string
		top  func(x, y float64) float64
		run  float64
		want Answer
	}{
		{"narrow", step(1, 1.8, 2.8), 0, Yes},
		{"narrow, on the other side", step(-1, 1.8, 2.8), 0, Yes},
		{"narrow and less deep, as walls that lean each by itself", step(1, 1.8, 2), 0, CannotTell},
		{"narrow and shallow", step(-1, 1.8, 1.6), 0, CannotTell},
		{"upright", flat(4.6), 0, No},
		{"leaning", flat(4.6), 2.4, No},
		{"leaning the other way", flat(4.6), -2.4, No},
		{"thicker on one side", func(_, y float64) float64 { return 4.6 + 0.03*y }, 0, No},
	} {
		t.Run(c.name, func(t *testing.T) {
			solid := slab(c.top)
			solid.run = r2.Scale(c.run, cross)
			s := surfaceOf(t, solid.pairAcross())
			if got := s.Read().Koba; got != c.want {
				t.Errorf("answer %d, want %d; the outlines say %+v", got, c.want, s.Step)
			}
		})
	}
}

// A slice that was pushed between the photos is not measured. Pushed along the
// line from one camera to the other it looks like a thicker or thinner one, in
// its texture and in its outline: two photos alone cannot tell, so the caller
// must ask whether the height fits the others on the tray.
func TestMoved(t *testing.T) {
	for _, by := range []r2.Vec{{X: -2, Y: 4}, {X: 1, Y: 2.5}, {Y: -2.5}} {
		s, err := slab(flat(4.4)).pair(by).Surface(long)
		if r := s.Read(); err == nil && r.Known && math.Abs(r.Top.X-4.4) > 2*r.Top.U {
			t.Errorf("a slice of 4.4 mm moved by %v is read as %.2f ± %.2f mm without a word", by, r.Top.X, 2*r.Top.U)
		} else if err != nil && !errors.Is(err, ErrApart) {
			t.Error(err)
		}
	}
}

// Where there is no texture, nothing is known.
func TestSmooth(t *testing.T) {
	plain := slab(flat(4.4))
	plain.texture = 0
	if s, err := plain.pair(r2.Vec{}).Surface(long); err == nil && s.Read().Known {
		t.Errorf("a slice without texture is read as %.2f mm", s.Height)
	}
}

func BenchmarkSurface(b *testing.B) {
	p := slab(flat(4.4)).pair(r2.Vec{})
	for b.Loop() {
		if _, err := p.Surface(long); err != nil {
			b.Fatal(err)
		}
	}
}
