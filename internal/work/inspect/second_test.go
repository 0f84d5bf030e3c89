package inspect

import (
	"bytes"
	"encoding/json"
	"image"
	"image/jpeg"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/disintegration/imaging"
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/segment"
	"netagauge/internal/see/stereo"
)

const pairs = "../../../testdata/pairs/"

func readPair(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(pairs + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

type pairTruth struct {
	Camera struct{ K [3][3]float64 }
	Slices []struct {
		Mean   float64 `json:"mean_thickness_mm"`
		Koba   struct{ Present bool }
		Middle [2]float64 `json:"pos_mm"`
	}
}

func truthOf(t *testing.T) (out pairTruth) {
	t.Helper()
	if err := json.Unmarshal(readPair(t, "koba.truth.json"), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func twoPhotos(t *testing.T, a, b string) tray {
	t.Helper()
	return tray{Photos{Photo{a, readPair(t, a)}, Photo{b, readPair(t, b)}}, ticket.Ticket{Standard: standard.Default()}}
}

// Both photos of a rendered tray, either one first, tell each slice's mean
// thickness as the scene has it; testdata/pairs/README.md says how it was made.
func TestSecondPhotoTellsThickness(t *testing.T) {
	truth := truthOf(t)
	for _, order := range [][2]string{{"koba.jpg", "koba.b.jpg"}, {"koba.b.jpg", "koba.jpg"}} {
		res, err := measure(t, twoPhotos(t, order[0], order[1]))
		if err != nil || res.Report.Status != piece.TrayMeasured {
			t.Fatalf("%v: %v %+v", order, err, res.Report.Problems)
		}
		if n := len(res.Report.MeasuredPieces()); n != len(truth.Slices) {
			t.Fatalf("%d slices measured of %d", n, len(truth.Slices))
		}
		for _, s := range truth.Slices {
			p := nearest(res.Report, s.Middle)
			if !p.Thickness.Known || p.Thickness.Source != weight.FromSecondPhoto {
				t.Errorf("%v piece %d: thickness from %q, want one from the second photo", order, p.Number, p.Thickness.Source)
				continue
			}
			if d := math.Abs(p.Thickness.X - s.Mean); d > 0.15 || d > p.Thickness.U {
				t.Errorf("%v piece %d: %.3f ± %.3f mm, the scene has %.3f", order, p.Number, p.Thickness.X, p.Thickness.U, s.Mean)
			}
			if p.Koba != nil && *p.Koba != s.Koba.Present {
				t.Errorf("%v piece %d: koba %v, the scene has %v", order, p.Number, *p.Koba, s.Koba.Present)
			}
		}
	}
}

func nearest(r piece.Tray, at [2]float64) piece.Piece {
	var best piece.Piece
	least := math.Inf(1)
	for _, p := range r.MeasuredPieces() {
		var x, y float64
		for _, q := range p.Outline {
			x, y = x+q[0]/float64(len(p.Outline)), y+q[1]/float64(len(p.Outline))
		}
		if d := math.Hypot(x-at[0], y-at[1]); d < least {
			best, least = p, d
		}
	}
	return best
}

// A second photo that is of no use is named, and the first is measured all the
// same, without a weight.
func TestSecondPhotoOfNoUse(t *testing.T) {
	otherMat, _ := sample(t, "tray-a4")
	var noMat bytes.Buffer
	if err := jpeg.Encode(&noMat, image.NewGray(image.Rect(0, 0, 800, 600)), nil); err != nil {
		t.Fatal(err)
	}
	for name, second := range map[string][]byte{
		"the same place":   readPair(t, "koba.jpg"),
		"not a photo":      []byte("no photo"),
		"another mat size": otherMat,
		"no mat":           noMat.Bytes(),
		"blurred":          changed(t, "koba.b.jpg", func(i image.Image) image.Image { return imaging.Blur(i, 4) }),
	} {
		in := twoPhotos(t, "koba.jpg", "koba.jpg")
		in.Second.Data = second
		res, err := Tray(t.Context(), in.Photos, in.Ticket)
		if err != nil {
			t.Fatal(err)
		}
		if res.Report.Status != piece.TrayMeasured || len(res.Report.Problems) != 1 || res.Report.Problems[0].Code != "second-photo" || res.Report.Problems[0].Remedy == "" {
			t.Errorf("%s: status %s, problems %+v; want the first photo measured and one word on the second", name, res.Report.Status, res.Report.Problems)
		}
		for _, p := range res.Report.MeasuredPieces() {
			if p.Weight.Known || p.Koba != nil {
				t.Errorf("%s: piece %d has a weight or koba out of nothing", name, p.Number)
			}
		}
	}
}

// changed is a photo of the pairs after somebody edited it, which drops what the phone
// recorded of its lens.
func changed(t *testing.T, name string, edit func(image.Image) image.Image) []byte {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(readPair(t, name)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, edit(img), &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// Where a side of the second photo was cut away, nobody knows well where it was taken
// from: thickness is as unsure as that leaves it.
func TestSecondPhotoCropped(t *testing.T) {
	truth := truthOf(t)
	whole, err := measure(t, twoPhotos(t, "koba.jpg", "koba.b.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	for _, side := range []image.Rectangle{{Max: image.Point{X: 8, Y: 10}}, {Min: image.Point{X: 2}, Max: image.Point{X: 10, Y: 10}}, {Min: image.Point{Y: 1}, Max: image.Point{X: 9, Y: 10}}} { // tenths
		in := twoPhotos(t, "koba.jpg", "koba.b.jpg")
		in.Second.Data = changed(t, "koba.b.jpg", func(i image.Image) image.Image {
			w, h := i.Bounds().Dx(), i.Bounds().Dy()
			return imaging.Crop(i, image.Rect(side.Min.X*w/10, side.Min.Y*h/10, side.Max.X*w/10, side.Max.Y*h/10))
		})
		res, err := measure(t, in)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range truth.Slices {
			p, sure := nearest(res.Report, s.Middle), nearest(whole.Report, s.Middle)
			if !p.Thickness.Known {
				continue
			}
			if d := math.Abs(p.Thickness.X - s.Mean); d > p.Thickness.U || p.Thickness.U < 1.15*sure.Thickness.U || p.Thickness.U > 3*sure.Thickness.U {
				t.Errorf("%v piece %d: %.2f ± %.2f mm, the scene has %.2f, and of the whole photo it was ± %.2f", side, p.Number, p.Thickness.X, p.Thickness.U, s.Mean, sure.Thickness.U)
			}
		}
	}
}

// One lens in two photos is known better than in one: the focal length of both
// comes within 0.2 % of the scene's.
func TestTwoPhotosTellTheLens(t *testing.T) {
	want := truthOf(t).Camera.K[0][0]
	var found [2]mat.Found
	for i, name := range []string{"koba.jpg", "koba.b.jpg"} {
		pic, err := photo.Decode(readPair(t, name))
		if err != nil {
			t.Fatal(err)
		}
		if found[i], err = mat.Find(pic.Luma(), pic.F35); err != nil {
			t.Fatal(err)
		}
	}
	a, b, _ := mat.Together(found[0], found[1])
	for _, f := range []float64{a.Camera.F, b.Camera.F} {
		if math.Abs(f/want-1) > 0.002 {
			t.Errorf("focal length %.1f px, the scene has %.1f (alone: %.1f, %.1f)", f, want, found[0].Camera.F, found[1].Camera.F)
		}
	}
}

// A height that fits none of the others on the tray is not taken for a
// thickness: the slice is named instead.
func TestOddHeight(t *testing.T) {
	read := func(number int, h float64) *thing {
		return &thing{Piece: piece.Piece{Number: number, State: piece.Measured}, seen: segment.Piece{Outline: square},
			top: stereo.Reading{Known: true, Top: uncertainty.Value{X: h, U: 0.05}}}
	}
	s := &scene{}
	// The second photo shows nothing here, so the readings stay as they are.
	why := s.heights([]*thing{read(1, 4), read(2, 9.8), read(3, 4.2), read(4, 4.4), read(5, 2.1)}, &sight{})
	for n, want := range map[int]bool{1: true, 2: false, 3: true, 4: true, 5: false} {
		if _, known := s.in.Matter.Thickness.Of(n); known != want {
			t.Errorf("slice %d has a thickness: %v, want %v", n, known, want)
		}
	}
	if why == nil || !strings.Contains(why.Message, "for slice 2, 5:") {
		t.Errorf("what is said of them: %+v", why)
	}
}

var square = []r2.Vec{{}, {X: 80}, {X: 80, Y: 35}, {Y: 35}}
