package inspect

import (
	"image"
	"math/rand/v2"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/photo"
)

// A mat is found by faint tags, too: paper and black are 20 code values apart here.
func TestMatIsFoundInDimLight(t *testing.T) {
	data, _ := sample(t, "tray-a4")
	pic, err := photo.Decode(data)
	fatal.If(t, err)
	bright, err := mat.Find(pic.Luma(), pic.F35)
	fatal.If(t, err)
	for i, v := range pic.Luma().Pix {
		pic.Luma().Pix[i] = 20 + v/12
	}
	dim, err := mat.Find(pic.Luma(), pic.F35)
	fatal.If(t, err)
	if dim.TagsSeen != bright.TagsSeen || dim.Residual > 0.1 {
		t.Errorf("%d tags and %.2f mm off, in better light %d", dim.TagsSeen, dim.Residual, bright.TagsSeen)
	}
}

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

// The first finding by which the numbers cannot be trusted is the one that is told where
// there is room for one; a warning before it is not.
func TestFirstRefusalIsTold(t *testing.T) {
	var q findings
	for i, code := range []string{"glare", "tilted", "blurred"} {
		q.put(i > 0, piece.Problem{Code: code})
	}
	if len(q.problems) != 3 || q.untrusted == nil || q.untrusted.Code != "tilted" {
		t.Errorf("%+v", q)
	}
}
