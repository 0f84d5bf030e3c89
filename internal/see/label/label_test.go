package label

import (
	"image"
	"image/color"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// enlarged draws code with px pixels a module and four modules of white around,
// the quiet zone of ISO/IEC 18004.
func enlarged(code image.Image, px int) *image.Gray {
	const quiet = 4
	n := code.Bounds().Dx()
	g := image.NewGray(image.Rect(0, 0, (n+2*quiet)*px, (n+2*quiet)*px))
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			c, r := x/px-quiet, y/px-quiet
			g.SetGray(x, y, color.Gray{Y: 255})
			if c >= 0 && r >= 0 && c < n && r < n {
				g.Set(x, y, code.At(c, r))
			}
		}
	}
	return g
}

// Any label that passes Check comes back from its code.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringN(1, MaxLength, 90).Filter(func(s string) bool { return Check(s) == nil }).Draw(t, "label")
		code, err := Code(text)
		if err != nil {
			t.Fatal(err)
		}
		if n := code.Bounds().Dx(); n > 41 {
			t.Fatalf("label %q needs %d modules, want at most 41", text, n)
		}
		if got := Read(enlarged(code, 4)); got != text {
			t.Fatalf("label %q reads back as %q", text, got)
		}
	})
}

func TestCheck(t *testing.T) {
	for _, tc := range []struct{ text, says string }{
		{"Tray 07", ""},
		{"まな板 十二番の上段", ""},
		{"", "empty"},
		{" \t", "empty"},
		{"a\nb", "cannot be printed"},
		{"a\xffb", "UTF-8"},
		{strings.Repeat("x", MaxLength), ""},
		{strings.Repeat("x", MaxLength+1), "longer than 24"},
		{strings.Repeat("魚", 11), "too fine"},
	} {
		err := Check(tc.text)
		switch {
		case tc.says == "" && err != nil:
			t.Errorf("label %q is refused: %v", tc.text, err)
		case tc.says != "" && (err == nil || !strings.Contains(err.Error(), tc.says)):
			t.Errorf("label %q: %v, want an error with %q", tc.text, err, tc.says)
		}
	}
}

// Read says nothing where there is no code of ours.
func TestReadsNothing(t *testing.T) {
	noise := image.NewGray(image.Rect(0, 0, 180, 180))
	rng := rand.New(rand.NewPCG(7, 7))
	for i := range noise.Pix {
		noise.Pix[i] = uint8(rng.IntN(256))
	}
	for name, g := range map[string]*image.Gray{
		"empty": image.NewGray(image.Rectangle{}), "black": image.NewGray(image.Rect(0, 0, 99, 99)), "noise": noise,
	} {
		if got := Read(g); got != "" {
			t.Errorf("%s picture reads as %q", name, got)
		}
	}
}

// Whatever a stranger's code says, what comes out can be printed.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"netagauge:Tray%2007", "netagauge:%E3%83%88", "netagauge:%zz", "netagauge:%00", "other:x", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		text := parse(s)
		if text != "" && (Check(text) != nil || !utf8.ValidString(text)) {
			t.Errorf("%q gives the label %q", s, text)
		}
	})
}
