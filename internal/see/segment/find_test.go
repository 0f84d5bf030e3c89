package segment

import (
	"image"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/see/mat"
)

const drawnPxPerMM, drawnHeight = 5.0, 400.0

// drawn is an A4 mat seen from straight above its middle, 5 px a millimetre, with
// boxes of one colour laid on it at places between pixels: each pixel is the mean
// of nine places, colour of four pixels as in 4:2:0.
func drawn(t *testing.T, boxes map[r2.Box][3]float64) (*image.YCbCr, mat.Found) {
	t.Helper()
	l, err := mat.ByName("a4")
	if err != nil {
		t.Fatal(err)
	}
	w, h := int(l.Paper.X*drawnPxPerMM), int(l.Paper.Y*drawnPxPerMM)
	at := func(p r2.Vec) [3]float64 {
		for b, c := range boxes {
			if within(b, p) {
				return c
			}
		}
		if within(l.Field, p) {
			return [3]float64{72, 158, 107}
		}
		return [3]float64{200, 128, 128}
	}
	full := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio444)
	inRows(h, func(y int) {
		for x := range w {
			c := at(r2.Vec{X: (float64(x) - 1.0/3) / drawnPxPerMM, Y: (float64(y) - 1.0/3) / drawnPxPerMM})
			if c == at(r2.Vec{X: (float64(x) + 1.0/3) / drawnPxPerMM, Y: (float64(y) + 1.0/3) / drawnPxPerMM}) {
				i := full.YOffset(x, y)
				full.Y[i], full.Cb[i], full.Cr[i] = uint8(c[0]), uint8(c[1]), uint8(c[2])
				continue
			}
			var sum [3]float64
			for k := range 9 {
				p := r2.Vec{X: (float64(x) + float64(k%3-1)/3) / drawnPxPerMM, Y: (float64(y) + float64(k/3-1)/3) / drawnPxPerMM}
				for i, v := range at(p) {
					sum[i] += v / 9
				}
			}
			i := full.YOffset(x, y)
			full.Y[i], full.Cb[i], full.Cr[i] = uint8(sum[0]+.5), uint8(sum[1]+.5), uint8(sum[2]+.5)
		}
	})
	out := image.NewYCbCr(full.Rect, image.YCbCrSubsampleRatio420)
	copy(out.Y, full.Y)
	for y := range h / 2 {
		for x := range w / 2 {
			var b, r int
			for k := range 4 {
				i := full.YOffset(2*x+k&1, 2*y+k>>1)
				b, r = b+int(full.Cb[i]), r+int(full.Cr[i])
			}
			out.Cb[y*out.CStride+x], out.Cr[y*out.CStride+x] = uint8((b+2)/4), uint8((r+2)/4)
		}
	}
	cam := mat.Camera{F: drawnPxPerMM * drawnHeight, Centre: r2.Vec{X: l.Paper.X / 2 * drawnPxPerMM, Y: l.Paper.Y / 2 * drawnPxPerMM},
		R: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, T: r3.Vec{X: -l.Paper.X / 2, Y: -l.Paper.Y / 2, Z: drawnHeight}}
	return out, mat.Found{Layout: l, Camera: cam}
}

func found(t *testing.T, photo *image.YCbCr, f mat.Found) []Piece {
	t.Helper()
	res, _, err := Find(photo, f)
	if err != nil {
		t.Fatal(err)
	}
	return res.Pieces
}

var (
	salmonSeen = [3]float64{126, 88, 178}
	squidSeen  = [3]float64{170, 125, 131}
)

// offSides is how far the outline's points lie off the box drawn, away from its
// corners: the greatest distance, and the mean one, positive outward.
func offSides(p Piece, b r2.Box) (greatest, mean float64) {
	n := 0.0
	for _, q := range p.Outline {
		dx := math.Max(b.Min.X-q.X, q.X-b.Max.X)
		dy := math.Max(b.Min.Y-q.Y, q.Y-b.Max.Y)
		if math.Max(dx, dy)-math.Min(dx, dy) < 4 {
			continue // within 4 mm of a corner
		}
		d := math.Max(dx, dy)
		greatest, mean, n = math.Max(greatest, math.Abs(d)), mean+d, n+1
	}
	return greatest, mean / n
}

// A box drawn at known places between pixels is found where it was drawn: its
// sides within 0.06 mm anywhere and 0.03 mm on average. So they are on average
// however far colour is smeared while brightness is not, by four pixels (0.8 mm) or
// by seven, and anywhere within half a pixel.
func TestSidesAreWhereTheyWereDrawn(t *testing.T) {
	for name, c := range map[string][3]float64{"salmon": salmonSeen, "squid": squidSeen} {
		box := r2.NewBox(100.13, 80.37, 180.29, 115.44)
		photo, f := drawn(t, map[r2.Box][3]float64{box: c})
		for passes, greatest := range map[int]float64{0: 0.06, 6: 0.1, 18: 0.1} {
			smeared := *photo
			for range passes {
				smeared.Cb = boxed(smeared.Cb, photo.CStride)
				smeared.Cr = boxed(smeared.Cr, photo.CStride)
			}
			ps := found(t, &smeared, f)
			if len(ps) != 1 || ps[0].CutOff || ps[0].Seen < 0.98 {
				t.Fatalf("%s smeared %d times: pieces %+v, want one", name, passes, len(ps))
			}
			if g, m := offSides(ps[0], box); g > greatest || math.Abs(m) > 0.03 {
				t.Errorf("%s smeared %d times: sides up to %.3f mm off, %.3f on average", name, passes, g, m)
			}
		}
	}
}

// A square corner loses up to 0.38 mm to pixels and to the step between points; 0.44 to 0.60
// where corners count as points that stand out.
func TestCornersAreKept(t *testing.T) {
	for name, c := range map[string][3]float64{"salmon": salmonSeen, "squid": squidSeen} {
		box := r2.NewBox(100.13, 80.37, 180.29, 115.44)
		photo, f := drawn(t, map[r2.Box][3]float64{box: c})
		ps := found(t, photo, f)
		if len(ps) != 1 {
			t.Fatalf("%s: %d pieces, want one", name, len(ps))
		}
		for _, corner := range box.Vertices() {
			off := math.Inf(1)
			for i, q := range ps[0].Outline {
				next := ps[0].Outline[(i+1)%len(ps[0].Outline)]
				for s := range 10 { // along the outline's edge
					off = min(off, r2.Norm(r2.Sub(corner, r2.Add(q, r2.Scale(float64(s)/10, r2.Sub(next, q))))))
				}
			}
			if off > 0.42 {
				t.Errorf("%s: the corner at %v lies %.2f mm from the outline", name, corner, off)
			}
		}
	}
}

// boxed is the mean of each value and its eight neighbours.
func boxed(v []byte, stride int) []byte {
	out := append([]byte(nil), v...)
	for i := stride + 1; i < len(v)-stride-1; i++ {
		sum := 4
		for _, k := range [9]int{-stride - 1, -stride, -stride + 1, -1, 0, 1, stride - 1, stride, stride + 1} {
			sum += int(v[i+k])
		}
		out[i] = uint8(sum / 9)
	}
	return out
}

// At the field's left edge, some 120 mm from the camera's foot and 400 mm below
// it, the top of a slice 7 mm high is seen 2 mm over the margin.
func TestSlicesAtTheBorder(t *testing.T) {
	_, f := drawn(t, nil)
	edge := f.Layout.Field.Min.X
	for _, c := range []struct {
		name   string
		from   float64 // left side, mm beyond the field's edge
		colour [3]float64
		cut    bool
	}{
		{"a salmon slice a millimetre inside", -1, salmonSeen, false},
		{"its top seen over the margin", 1.2, salmonSeen, false},
		{"its foot off the field", 4.2, salmonSeen, true},
		{"a pale slice a millimetre inside", -1, squidSeen, false},
		{"a pale slice that may go on", 1.2, squidSeen, true},
	} {
		box := r2.NewBox(edge-c.from, 80.37, edge+70, 115.44)
		photo, f := drawn(t, map[r2.Box][3]float64{box: c.colour})
		ps := found(t, photo, f)
		if len(ps) != 1 || ps[0].CutOff != c.cut {
			t.Errorf("%s: %d pieces, cut off %v", c.name, len(ps), len(ps) > 0 && ps[0].CutOff)
			continue
		}
		if c.cut {
			continue
		}
		if g, m := offSides(ps[0], box); g > 0.25 || math.Abs(m) > 0.06 {
			t.Errorf("%s: sides up to %.3f mm off, %.3f on average", c.name, g, m)
		}
	}
}

// A bare mat shows nothing, nor do crumbs and drops.
func TestNothingIsInvented(t *testing.T) {
	for name, boxes := range map[string]map[r2.Box][3]float64{
		"bare":   nil,
		"crumbs": {r2.NewBox(100, 80, 104, 83): salmonSeen, r2.NewBox(150, 90, 159, 99): squidSeen},
	} {
		photo, f := drawn(t, boxes)
		if ps := found(t, photo, f); len(ps) != 0 {
			t.Errorf("%s: %d pieces", name, len(ps))
		}
	}
}
