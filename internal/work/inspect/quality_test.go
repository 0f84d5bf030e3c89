package inspect

import (
	"image"
	"math/rand/v2"
	"testing"

	"netagauge/internal/see/mat"
)

// Where no mat can be placed, two of them are named only where tags were read in more
// than one place.
func TestNoMatSaysWhy(t *testing.T) {
	sharp := image.NewGray(image.Rect(0, 0, 200, 200)) // and neither dark nor burnt
	random := rand.New(rand.NewPCG(1, 2))
	for i := range sharp.Pix {
		sharp.Pix[i] = uint8(60 + random.IntN(140))
	}
	for _, c := range []struct {
		found mat.Found
		want  string
	}{
		{mat.Found{TagsSeen: 3, Twice: 2}, "two-mats"},
		{mat.Found{TagsSeen: 3, Twice: 1}, "few-tags"}, // one tag may be misread
		{mat.Found{}, "no-mat"},
	} {
		if got := noMat(mat.ErrNoMat, c.found, sharp).Code; got != c.want {
			t.Errorf("%d tags seen, %d of them twice: %s, want %s", c.found.TagsSeen, c.found.Twice, got, c.want)
		}
	}
}
