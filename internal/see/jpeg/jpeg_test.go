package jpeg

import (
	"bytes"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// goTestdata is the folder of pictures that Go's own decoders are tested with:
// every kind of subsampling, baseline and progressive, 150 × 103 pixels.
func goTestdata(t *testing.T) string {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(strings.TrimSpace(string(root)), "src", "image", "testdata")
	if _, err := os.Stat(dir); err != nil {
		t.Skip("Go's own test pictures are not installed: ", err)
	}
	return dir
}

// Both decoders follow ISO/IEC 10918-1; the inverse transform may differ by a
// rounding.
func TestAgreesWithGo(t *testing.T) {
	dir := goTestdata(t)
	for name, usual := range map[string]bool{
		"video-001.jpeg": true, "video-001.q50.420.jpeg": true, "video-001.q50.422.jpeg": true, "video-001.q50.440.jpeg": true,
		"video-001.q50.444.jpeg": true, "video-001.q50.411.jpeg": true, "video-001.progressive.jpeg": true,
		"video-001.q50.420.progressive.jpeg": true, "video-001.q50.444.progressive.jpeg": true, "video-001.restart2.jpeg": true,
		"video-001.cmyk.jpeg": false, "video-001.rgb.jpeg": false, "video-005.gray.jpeg": false, "video-001.q50.410.jpeg": false,
	} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Error(err)
			continue
		}
		got, err := Decode(data, 150, 103)
		if !usual {
			if err == nil {
				t.Errorf("%s is taken", name)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		img, err := jpeg.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		want := img.(*image.YCbCr)
		if got.SubsampleRatio != want.SubsampleRatio || got.Rect != want.Rect {
			t.Errorf("%s: %v %v, want %v %v", name, got.SubsampleRatio, got.Rect, want.SubsampleRatio, want.Rect)
			continue
		}
		for y := range 103 {
			for x := range 150 {
				a, b := got.YCbCrAt(x, y), want.YCbCrAt(x, y)
				if far(a.Y, b.Y) || far(a.Cb, b.Cb) || far(a.Cr, b.Cr) {
					t.Fatalf("%s: pixel %d,%d is %v, want %v", name, x, y, a, b)
				}
			}
		}
	}
}

func far(a, b uint8) bool { return max(a, b)-min(a, b) > 2 }

// Whatever is cut short, damaged or not of the size that was promised is an
// error, and no plane is written past its end.
func TestFlaws(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(goTestdata(t), "video-001.jpeg"))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{0, 1, 2, 100, 600, len(data) / 2, len(data) - 100} {
		if _, err := Decode(data[:n], 150, 103); err == nil {
			t.Errorf("the first %d of %d bytes are taken", n, len(data))
		}
	}
	for _, size := range [][2]int{{151, 103}, {150, 104}, {103, 150}, {0, 0}} {
		if _, err := Decode(data, size[0], size[1]); err == nil {
			t.Errorf("a size of %v is taken", size)
		}
	}
}

// BenchmarkDecode reports Go's decoder's time as a ratio to this one's, on 12
// megapixels of noise as a phone would compress them.
func BenchmarkDecode(b *testing.B) {
	img := image.NewYCbCr(image.Rect(0, 0, 4032, 3024), image.YCbCrSubsampleRatio420)
	random := rand.New(rand.NewPCG(1, 2))
	for _, plane := range [][]byte{img.Y, img.Cb, img.Cr} {
		for i := range plane {
			plane[i] = uint8(128 + random.NormFloat64()*8)
		}
	}
	var data bytes.Buffer
	if err := jpeg.Encode(&data, img, &jpeg.Options{Quality: 85}); err != nil {
		b.Fatal(err)
	}
	var ours, goes time.Duration
	for b.Loop() {
		t := time.Now()
		if _, err := Decode(data.Bytes(), 4032, 3024); err != nil {
			b.Fatal(err)
		}
		ours += time.Since(t)
		t = time.Now()
		if _, err := jpeg.Decode(bytes.NewReader(data.Bytes())); err != nil {
			b.Fatal(err)
		}
		goes += time.Since(t)
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(goes)/float64(ours), "go/turbo")
}
