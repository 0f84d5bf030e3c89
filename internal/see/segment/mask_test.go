package segment

import (
	"image"
	"math"
	"testing"
)

// plainField is a blue mat of one colour, 64 × 8 px.
func plainField() *field {
	f := &field{w: 64, h: 8, chroma: math.Hypot(0.37, -0.26)}
	f.coef[0][0], f.coef[1][0], f.coef[2][0] = 80, 0.37, -0.26
	return f
}

// What counts as bare mat, each as brightness and colour differences written out:
// a shadow as a lens sees it, one whose colour a phone kept while it changed the
// brightness, and one it made lighter; and what does not.
func TestMaskOfPlainColours(t *testing.T) {
	marks(t, plainField(), []mark{
		{"the mat", 72, 158, 107, false},
		{"in a shadow", 28, 141, 119, false},
		{"in a shadow that kept its colour", 28, 158, 107, false},
		{"in a shadow that kept half of it", 28, 149, 114, false},
		{"lifted by a fifth, colour kept", 88, 158, 107, false},
		{"salmon", 126, 88, 178, true},
		{"lean tuna in a shadow", 40, 122, 150, true},
		{"squid", 170, 125, 131, true},
		{"silver skin", 120, 136, 122, true},
		{"black skin", 20, 129, 127, true},
		{"a bluer thing than the mat", 72, 190, 84, true},
	})
}

// On wood pale salmon has the board's colour and is brighter; a wall of it lies beside
// the way from wood to gray, which light on water takes.
func TestMaskOnWood(t *testing.T) {
	f := &field{w: 64, h: 8, chroma: math.Hypot(-0.16, 0.14), noise: 0.006}
	f.coef[0][0], f.coef[1][0], f.coef[2][0] = 140, -0.16, 0.14
	marks(t, f, []mark{
		{"wood", 132, 106, 148, false},
		{"a dark grain", 100, 111, 143, false},
		{"a bright grain", 160, 101, 152, false},
		{"light on water", 140, 109, 144, false},
		{"pale salmon", 190, 100, 160, true},
		{"its wall", 120, 114, 151, true},
	})
}

// mark is a colour and whether it counts as fish.
type mark struct {
	name      string
	y, cb, cr int
	fish      bool
}

// marks holds a field's mask to what colours count as.
func marks(t *testing.T, f *field, colours []mark) {
	t.Helper()
	for _, c := range colours {
		p := image.NewYCbCr(image.Rect(0, 0, f.w, f.h), image.YCbCrSubsampleRatio444)
		for i := range p.Y {
			p.Y[i], p.Cb[i], p.Cr[i] = uint8(c.y), uint8(c.cb), uint8(c.cr)
		}
		for i, v := range f.mask(p, chromaShare).Pix {
			if (v != 0) != c.fish {
				t.Errorf("%s: pixel %d counts as fish: %v", c.name, i, v != 0)
				break
			}
		}
	}
}
