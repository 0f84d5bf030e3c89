package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/disintegration/imaging"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/testdata/photos"
)

// netagauge runs the program in-process.
func netagauge(args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = run(context.Background(), args, &o, &e)
	return code, o.String(), e.String()
}

func samplePhoto(t testing.TB) *image.NRGBA {
	t.Helper()
	data, err := photos.Files.ReadFile("tray-a4.jpg")
	fatal.If(t, err)
	img, err := jpeg.Decode(bytes.NewReader(data))
	fatal.If(t, err)
	return imaging.Clone(img)
}

// file writes a picture, or bytes, to a folder of the test's.
func file(t testing.TB, name string, content any) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	var data []byte
	switch c := content.(type) {
	case []byte:
		data = c
	case string:
		data = []byte(c)
	case image.Image:
		var b bytes.Buffer
		fatal.If(t, jpeg.Encode(&b, c, &jpeg.Options{Quality: 92}))
		data = b.Bytes()
	}
	fatal.If(t, os.WriteFile(path, data, 0o600))
	return path
}

// motion smears a picture along its diagonal.
func motion(img *image.NRGBA, n int) *image.NRGBA {
	sum := make([]int, len(img.Pix))
	for k := range n {
		for y := range img.Rect.Dy() - n {
			a := img.Pix[(y+k)*img.Stride+4*k : (y+k)*img.Stride+4*(img.Rect.Dx()-n+k)]
			for i, v := range a {
				sum[y*img.Stride+i] += int(v)
			}
		}
	}
	out := image.NewNRGBA(img.Rect)
	for i := range sum {
		out.Pix[i] = uint8(sum[i] / n)
	}
	return imaging.Crop(out, image.Rect(0, 0, img.Rect.Dx()-n, img.Rect.Dy()-n))
}

// scaled multiplies the light of a picture.
func scaled(img *image.NRGBA, f float64) image.Image {
	return imaging.AdjustFunc(img, func(c color.NRGBA) color.NRGBA {
		s := func(v uint8) uint8 { return uint8(min(255, f*float64(v))) }
		return color.NRGBA{s(c.R), s(c.G), s(c.B), 255}
	})
}

func painted(img *image.NRGBA, r image.Rectangle) image.Image {
	out := imaging.Clone(img)
	draw.Draw(out, r, image.NewUniform(color.NRGBA{150, 140, 130, 255}), image.Point{}, draw.Src)
	return out
}

// Every photo that cannot be trusted gets its code, a remedy and exit code 3.
func TestRefusedPhotos(t *testing.T) {
	img := samplePhoto(t)
	w, h := img.Rect.Dx(), img.Rect.Dy()
	for name, c := range map[string]struct {
		content any
		code    string
	}{
		"empty file":      {"", "unreadable"},
		"text":            {"lunch", "unreadable"},
		"no mat":          {imaging.New(1200, 900, color.NRGBA{120, 110, 100, 255}), "no-mat"},
		"out of focus":    {imaging.Blur(img, 9), "blurred"},
		"motion blur":     {motion(img, 30), "blurred"},
		"too dark":        {scaled(img, 0.1), "too-dark"},
		"far away":        {imaging.Paste(imaging.New(w, h, color.NRGBA{120, 110, 100, 255}), imaging.Resize(img, w/6, 0, imaging.Box), image.Pt(50, 50)), "too-far"},
		"burnt threefold": {scaled(img, 3), "too-bright"},
		"a corner":        {imaging.Crop(img, image.Rect(0, 0, w*3/8, h*3/8)), "few-tags"},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errs := netagauge("check", "--json", file(t, "tray.jpg", c.content))
			var r piece.Tray
			if err := json.Unmarshal([]byte(out), &r); err != nil {
				t.Fatalf("no report: %v; %s", err, errs)
			}
			if code != command.ExitRefused || r.Status != piece.TrayRefused || len(r.Pieces) != 0 {
				t.Errorf("exit code %d, status %q, %d pieces; want 3, refused, none", code, r.Status, len(r.Pieces))
			}
			if len(r.Problems) == 0 || r.Problems[0].Code != c.code || r.Problems[0].Remedy == "" {
				t.Errorf("problems %+v, want %q with a remedy", r.Problems, c.code)
			}
		})
	}
}

// A photo with a flaw that leaves the numbers sound is measured, with a warning
// where there is something to say.
func TestMeasuredAllTheSame(t *testing.T) {
	img := samplePhoto(t)
	w, h := img.Rect.Dx(), img.Rect.Dy()
	for name, c := range map[string]struct {
		img  image.Image
		code string
	}{
		"half the mat hidden":   {painted(img, image.Rect(w*8/10, 0, w, h)), ""},
		"half the tags covered": {painted(img, image.Rect(0, h*3/4, w, h)), ""},
		"dim":                   {scaled(img, 0.35), "too-dark"},
		"PNG-like quality":      {imaging.Sharpen(img, 0.5), ""},
	} {
		t.Run(name, func(t *testing.T) {
			_, out, errs := netagauge("check", "--json", file(t, "tray.jpg", c.img))
			var r piece.Tray
			if err := json.Unmarshal([]byte(out), &r); err != nil {
				t.Fatalf("no report: %v; %s", err, errs)
			}
			if r.Status != piece.TrayMeasured || len(r.MeasuredPieces()) < 1 {
				t.Fatalf("status %q, %d measured, problems %+v", r.Status, len(r.MeasuredPieces()), r.Problems)
			}
			codes := ""
			for _, p := range r.Problems {
				codes += p.Code + " "
			}
			if c.code != "" && !strings.Contains(codes, c.code) {
				t.Errorf("problems %q, want %q", codes, c.code)
			}
		})
	}
}

// Wrong usage is exit code 2 and a sentence that says what to do.
func TestWrongUsage(t *testing.T) {
	tray := file(t, "tray.jpg", samplePhoto(t))
	contradiction := file(t, "house.toml", "name = \"x\"\n[length_mm]\nlow = 90\naim = 80\nhigh = 85\n")
	unknown := file(t, "house2.toml", "name = \"x\"\nlenght = 3\n")
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"no photo":        {[]string{"check"}, "name a photo"},
		"same twice":      {[]string{"check", tray, tray}, "named twice"},
		"NaN thickness":   {[]string{"check", tray, "--thickness", "NaN"}, "thickness"},
		"negative":        {[]string{"check", tray, "--thickness=-4"}, "thickness"},
		"no such piece":   {[]string{"check", tray, "--thickness", "99:4.2"}, "99"},
		"twice a piece":   {[]string{"check", tray, "--thickness", "1:4.2,1:4.3"}, "1"},
		"unknown species": {[]string{"check", tray, "--species", "salman"}, "salmon"},
		"density":         {[]string{"check", tray, "--density", "1050"}, "g/cm³"},
		"contradiction":   {[]string{"check", tray, "--standard", contradiction}, "length"},
		"unknown key":     {[]string{"check", tray, "--standard", unknown}, "lenght"},
		"both outputs":    {[]string{"check", tray, "--json", "--csv"}, "choose"},
		"both sources":    {[]string{"check", tray, "--thickness", "4", "--tray-weight", "60"}, "choose"},
		"tray weight":     {[]string{"check", tray, "--tray-weight", "60000"}, "tray"},
		"unknown flag":    {[]string{"check", tray, "--frobnicate"}, "frobnicate"},
		"misspelt flag":   {[]string{"check", tray, "--thicknes", "4"}, "no option --thicknes; did you mean --thickness?"},
		"one dash":        {[]string{"check", tray, "-species", "tuna"}, "no option -s; did you mean --species / --species-file?"},
		"unknown verb":    {[]string{"fillet"}, "no command \"fillet\"; netagauge --help"},
		"misspelt verb":   {[]string{"cehck"}, "no command \"cehck\"; did you mean check?"},
		"plan angle":      {[]string{"check", tray, "--plan-angle", "170"}, "plan angle"},
		"why no weight":   {[]string{"check", tray, "--why", "1"}, "no weight"},
		"mat size":        {[]string{"mat", "--size", "a9"}, "a9"},
		"unwritable":      {[]string{"check", tray, "--html", filepath.Join(t.TempDir(), "no", "such", "page.html")}, "there is no folder"},
		"picture nowhere": {[]string{"check", tray, "--picture", filepath.Join(t.TempDir(), "no", "tray.png")}, "there is no folder"},
	} {
		t.Run(name, func(t *testing.T) {
			code, _, errs := netagauge(c.args...)
			if code != command.ExitUsage || !strings.Contains(errs, c.says) {
				t.Errorf("exit code %d, %q; want 2 and %q", code, errs, c.says)
			}
		})
	}
}

// A file that is no photo is one that cannot be read; the others are still checked.
// A folder and a file that is not there are wrong usage, said before any is.
func TestUnreadablePath(t *testing.T) {
	tray := file(t, "tray.jpg", samplePhoto(t))
	broken := filepath.Join(t.TempDir(), "broken.jpg")
	fatal.If(t, os.WriteFile(broken, []byte("no photo"), 0o600))
	for _, wrong := range []string{t.TempDir(), filepath.Join(t.TempDir(), "gone.jpg")} {
		if code, out, said := netagauge("check", "--json", wrong, tray); code != command.ExitUsage || out != "" || !strings.Contains(said, wrong) {
			t.Errorf("%s: exit code %d, %s%s", wrong, code, out, said)
		}
	}
	code, out, _ := netagauge("check", "--json", broken, tray)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if code != command.ExitRefused || len(lines) != 2 {
		t.Fatalf("exit code %d, %d reports; want 3 and 2:\n%s", code, len(lines), out)
	}
	if !strings.Contains(lines[0], `"unreadable"`) || !strings.Contains(lines[1], `"status":"measured"`) {
		t.Errorf("reports:\n%s", out)
	}
}

// A gray photo gives no number, and nothing measured is not a pass. One file is
// one photo, whatever it is called.
func TestNothingMeasuredIsNoPass(t *testing.T) {
	img := samplePhoto(t)
	code, out, _ := netagauge("check", "--json", file(t, "gray.jpg", imaging.Grayscale(img)))
	var r piece.Tray
	fatal.If(t, json.Unmarshal([]byte(out), &r))
	if len(r.MeasuredPieces()) != 0 || code != command.ExitRefused || !strings.Contains(out, "no-pieces") {
		t.Errorf("%d measured, exit code %d: %s", len(r.MeasuredPieces()), code, out)
	}
	tray := file(t, "tray.jpg", img)
	link := filepath.Join(t.TempDir(), "again.jpg")
	fatal.If(t, os.Symlink(tray, link))
	if code, _, errs := netagauge("check", tray, link); code != command.ExitUsage || !strings.Contains(errs, "named twice") {
		t.Errorf("a link to the same photo: exit code %d, %q", code, errs)
	}
}

// The weight of a tray on the scale is shared out to the gram.
func TestTrayWeightAddsUp(t *testing.T) {
	code, out, errs := netagauge("check", "--json", "--species", "tuna", "--tray-weight", "55.1", file(t, "tray.jpg", samplePhoto(t)))
	var r piece.Tray
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatalf("exit code %d, no report: %v; %s", code, err, errs)
	}
	var sum float64
	for _, p := range r.MeasuredPieces() {
		sum += p.Weight.X
	}
	if sum < 55.05 || sum > 55.15 {
		t.Errorf("the weights add up to %.2f g, want 55.1 but for rounding", sum)
	}
}

// Slices on the scale weigh what it shows, to half a scale interval; the others
// have no weight where no thickness was told. Their thickness follows from weight
// and face: testdata/photos/tray-a4.truth.json has the masses and thicknesses of
// the scene, matched by where the slices lie, at 1.05 g/cm³.
func TestWeightBySlice(t *testing.T) {
	photo := file(t, "tray.jpg", samplePhoto(t))
	_, out, _ := netagauge("check", "--json", photo)
	var bare piece.Tray
	fatal.If(t, json.Unmarshal([]byte(out), &bare))
	masses, thick := trueWeights(t, bare)
	var told []string
	for n := 1; n <= 3; n++ {
		told = append(told, fmt.Sprintf("%d:%.1f", n, masses[n]))
	}
	code, out, errs := netagauge("check", "--json", "--density", "1.05", "--weight", strings.Join(told, ","), photo)
	var r piece.Tray
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatalf("exit code %d, no report: %v; %s", code, err, errs)
	}
	weighed := 0
	for _, p := range r.MeasuredPieces() {
		if !p.Weight.Known {
			continue
		}
		weighed++
		if math.Abs(p.Weight.X-masses[p.Number]) > 0.051 || math.Abs(p.Weight.U-2*0.1/math.Sqrt(12)) > 0.005 {
			t.Errorf("slice %d weighs %g ± %g g, the scale showed %.1f", p.Number, p.Weight.X, p.Weight.U, masses[p.Number])
		}
		if math.Abs(p.Thickness.X-thick[p.Number]) > 0.2 {
			t.Errorf("slice %d is %.2f mm thick by its weight, the scene's is %.2f", p.Number, p.Thickness.X, thick[p.Number])
		}
	}
	if weighed != 3 {
		t.Errorf("%d slices have a weight, 3 were weighed", weighed)
	}
	if code, _, errs := netagauge("check", "--weight", "9:12", photo); code != command.ExitUsage || !strings.Contains(errs, "9") {
		t.Errorf("a slice that is not there: exit code %d, %q", code, errs)
	}
}

// trueWeights are the masses, g, and thicknesses, mm, of the sample tray's slices
// by the numbers of the pieces that lie where they do.
func trueWeights(t *testing.T, r piece.Tray) (masses, thick map[int]float64) {
	t.Helper()
	text, err := photos.Files.ReadFile("tray-a4.truth.json")
	fatal.If(t, err)
	var truth struct {
		Slices []struct {
			Thickness float64      `json:"thickness_mm"`
			Mass      float64      `json:"mass_g"`
			Outline   [][2]float64 `json:"outline_mm"`
		} `json:"slices"`
	}
	fatal.If(t, json.Unmarshal(text, &truth))
	middle := func(o [][2]float64) (x, y float64) {
		for _, p := range o {
			x, y = x+p[0]/float64(len(o)), y+p[1]/float64(len(o))
		}
		return x, y
	}
	masses, thick = map[int]float64{}, map[int]float64{}
	for _, p := range r.MeasuredPieces() {
		px, py := middle(p.Outline)
		for _, s := range truth.Slices {
			if sx, sy := middle(s.Outline); math.Hypot(px-sx, py-sy) < 10 {
				masses[p.Number], thick[p.Number] = s.Mass, s.Thickness
			}
		}
	}
	if len(masses) != len(truth.Slices) {
		t.Fatalf("%d slices are found where the scene has them, want %d", len(masses), len(truth.Slices))
	}
	return masses, thick
}

// Help exits 0, shows an example and names nothing that does not exist.
func TestHelp(t *testing.T) {
	for _, v := range verbs() {
		code, out, errs := netagauge(v.name, "--help")
		if code != command.ExitPass || !strings.Contains(out+errs, "netagauge "+v.name) {
			t.Errorf("%s --help: exit code %d, no example:\n%s%s", v.name, code, out, errs)
		}
	}
}

func TestDemo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	code, out, errs := netagauge("demo", "--dir", dir)
	if code != command.ExitPass || !strings.Contains(out, "Invented scenario") {
		t.Fatalf("exit code %d: %s%s", code, out, errs)
	}
	for _, name := range []string{"tray-a4.jpg", "checked.jpg", "report.html"} {
		if st, err := os.Stat(filepath.Join(dir, name)); err != nil || st.Size() == 0 {
			t.Errorf("%s was not written: %v", name, err)
		}
	}
}
