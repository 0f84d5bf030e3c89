package heif

import (
	"bytes"
	"errors"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"
)

// phoneFile is a file straight from a phone or camera, from the test data of the
// EXIF library in the module cache.
func phoneFile(t testing.TB, name string) []byte {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/bep/imagemeta").Output()
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "testdata", "images", name))
	if err != nil {
		t.Skip("the EXIF library's test data is not in the module cache")
	}
	return data
}

// A current phone's HEIC of 24 megapixels, which has a text about a picture that
// Debian's libheif does not know.
func TestPhoneFile(t *testing.T) {
	data := phoneFile(t, "iphone.heic")
	before := bytes.Clone(data)
	img, err := Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	if w, h := img.Rect.Dx(), img.Rect.Dy(); w != 5712 || h != 4284 {
		t.Errorf("it is %d × %d", w, h)
	}
	if !bytes.Equal(data, before) {
		t.Error("the file was changed")
	}
	least, most := 255, 0
	for _, v := range img.Y {
		least, most = min(least, int(v)), max(most, int(v))
	}
	if most-least < 150 {
		t.Errorf("brightness goes from %d to %d: that is no photo", least, most)
	}
}

// Which library decodes is no matter of chance: the system's libheif by its version,
// or none.
func TestOneLibrary(t *testing.T) {
	if err := load(); err != nil {
		t.Fatalf("this system lacks what the program needs: %v", err)
	}
	maps, err := os.ReadFile("/proc/self/maps")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(maps), "libheif.so.1") {
		t.Error("libheif.so.1 is not the one that is loaded")
	}
}

// Decoded tile by tile, a phone's file is what libheif makes of it as a whole, however
// it is turned. libheif takes brightness by RGB and back, which rounds.
func TestTilesAreTheWhole(t *testing.T) {
	data := phoneFile(t, "iphone.heic")
	turn := bytes.Index(data, []byte("irot")) + 4
	for quarters := range byte(4) {
		data[turn] = quarters
		tiled := false
		got, err := decode(data, func(data []byte) *grid {
			g := gridOf(data)
			tiled = g != nil
			return g
		})
		if err != nil || !tiled {
			t.Fatalf("turned by %d: %v, in tiles: %v", quarters, err, tiled)
		}
		want, err := decode(data, func([]byte) *grid { return nil })
		if err != nil {
			t.Fatal(err)
		}
		if got.Rect != want.Rect {
			t.Fatalf("turned by %d it is %v, as a whole %v", quarters, got.Rect, want.Rect)
		}
		for name, c := range map[string][2][]byte{"brightness": {got.Y, want.Y}, "Cb": {got.Cb, want.Cb}, "Cr": {got.Cr, want.Cr}} {
			far, sum := 0, 0
			for i, v := range c[0] {
				d := max(int(v)-int(c[1][i]), int(c[1][i])-int(v))
				far, sum = max(far, d), sum+d
			}
			mean := float64(sum) / float64(len(c[0]))
			t.Logf("turned by %d, %s: %.3f apart on average, %d at most", quarters, name, mean, far)
			if mean > 0.6 {
				t.Errorf("turned by %d, %s differs by %.2f of 255 on average", quarters, name, mean)
			}
		}
	}
}

// Broken grids end in an error or a picture, and in no panic.
func FuzzGrid(f *testing.F) {
	head := phoneFile(f, "iphone.heic")[:33_000]
	f.Add(head)
	f.Add(head[:20_000])
	f.Fuzz(func(t *testing.T, data []byte) {
		if g := gridOf(data); g != nil && (len(g.tiles) != g.columns*g.rows || g.width == 0 || g.height == 0) {
			t.Errorf("%d tiles of %d × %d", len(g.tiles), g.columns, g.rows)
		}
	})
}

// Without the library, or with one that has no decoder, as Ubuntu's without its
// plugin, what is missing is said with the packages to install.
func TestWithoutDecoder(t *testing.T) {
	if os.Getenv("NETAGAUGE_TEST_HEIF") != "" {
		_, err := Decode([]byte("\x00\x00\x00\x18ftypheic"))
		if !errors.Is(err, ErrNoLibrary) || !strings.Contains(err.Error(), "libheif-plugin-libde265") || !strings.Contains(err.Error(), "no decoder for HEVC") {
			t.Errorf("it says %v", err)
		}
		return
	}
	dir := t.TempDir()
	source := "typedef struct { int code, subcode; const char *message; } heif_error;\nint heif_have_decoder_for_format(int f) { return 0; }\nheif_error heif_init(void *p) { return (heif_error){0, 0, 0}; }\n"
	calls, err := os.ReadFile("libheif.c")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`"(heif_\w+)"`).FindAllStringSubmatch(string(calls), -1) {
		if m[1] != "heif_have_decoder_for_format" && m[1] != "heif_init" {
			source += "void " + m[1] + "(void) {}\n"
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "stub.c"), []byte(source), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("cc", "-shared", "-fPIC", "-o", filepath.Join(dir, "libheif.so.1"), filepath.Join(dir, "stub.c")).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	again := exec.Command(os.Args[0], "-test.run", "TestWithoutDecoder", "-test.v")
	again.Env = append(os.Environ(), "NETAGAUGE_TEST_HEIF=1", "LD_LIBRARY_PATH="+dir)
	if out, err := again.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

func TestBroken(t *testing.T) {
	whole := phoneFile(t, "iphone.heic")
	for name, data := range map[string][]byte{
		"empty": nil, "text": []byte("lunch"), "head only": whole[:4000], "cut": whole[:len(whole)/2], "deep": phoneFile(t, "sony.heif"),
	} {
		if img, err := Decode(data); err == nil || img != nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// processor is the time that this process has used.
func processor() time.Duration {
	var used syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &used)
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// BenchmarkPhoneFile gives a 24-megapixel HEIC's time as a ratio to the decode of a
// JPEG of the same picture in the same run, by the clock and by the processors.
func BenchmarkPhoneFile(b *testing.B) {
	data := phoneFile(b, "iphone.heic")
	img, err := Decode(data)
	if err != nil {
		b.Fatal(err)
	}
	var same bytes.Buffer
	if err := jpeg.Encode(&same, img, &jpeg.Options{Quality: 92}); err != nil {
		b.Fatal(err)
	}
	var clock, cpu [2]time.Duration
	for b.Loop() {
		for i, decode := range []func() error{
			func() error { _, err := Decode(data); return err },
			func() error { _, err := jpeg.Decode(bytes.NewReader(same.Bytes())); return err },
		} {
			began, used := time.Now(), processor()
			if err := decode(); err != nil {
				b.Fatal(err)
			}
			clock[i] += time.Since(began)
			cpu[i] += processor() - used
		}
	}
	b.ReportMetric(clock[0].Seconds()/clock[1].Seconds(), "clock/jpeg")
	b.ReportMetric(cpu[0].Seconds()/cpu[1].Seconds(), "processor/jpeg")
}
