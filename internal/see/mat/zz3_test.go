package mat

import (
	"image"
	"os"
	"strconv"
	"testing"

	"netagauge/internal/see/photo"
	"netagauge/internal/see/vision"
)

func TestZZCrash(t *testing.T) {
	data, _ := os.ReadFile(os.Getenv("PHOTOS"))
	pic, _ := photo.Decode(data)
	g := pic.Luma()
	h := halfOf(g)
	q := halfOf(h)
	m := map[string]*image.Gray{"g": g, "h": h, "q": q, "t": image.NewGray(image.Rect(0, 0, 64, 64))}
	d, _ := strconv.ParseFloat(os.Getenv("D"), 64)
	n, _ := strconv.Atoi(os.Getenv("N"))
	for range n {
		vision.DetectTags(m[os.Getenv("WHICH")], d)
	}
}
