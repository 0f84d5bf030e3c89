package mat

import (
	"fmt"
	"image"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"netagauge/internal/see/photo"
	"netagauge/internal/see/vision"
)

func halfOf(g *image.Gray) *image.Gray {
	w, h := g.Rect.Dx()/2, g.Rect.Dy()/2
	o := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		a, b := g.Pix[2*y*g.Stride:], g.Pix[(2*y+1)*g.Stride:]
		for x := range w {
			o.Pix[y*w+x] = uint8((int(a[2*x]) + int(a[2*x+1]) + int(b[2*x]) + int(b[2*x+1]) + 2) / 4)
		}
	}
	return o
}

func ids(t []vision.Tag) (o []int) {
	for _, x := range t {
		if _, ok := ByTag(x.ID); ok {
			o = append(o, x.ID)
		}
	}
	slices.Sort(o)
	return slices.Compact(o)
}

func lacks(a, b []int) (o []int) {
	for _, x := range a {
		if !slices.Contains(b, x) {
			o = append(o, x)
		}
	}
	return
}

func TestZZTags(t *testing.T) {
	var sum [8]int
	for _, n := range strings.Fields(os.Getenv("PHOTOS")) {
		data, _ := os.ReadFile(n)
		pic, err := photo.Decode(data)
		if err != nil {
			continue
		}
		g := pic.Luma()
		side := float64(max(g.Rect.Dx(), g.Rect.Dy()))
		now, _ := detect(g)
		a := ids(now)
		vars := map[int][]int{}
		d8, _ := vision.DetectTags(g, max(1, math.Floor(side/504)))
		vars[1] = ids(d8)
		h := halfOf(g)
		h4, _ := vision.DetectTags(h, max(1, math.Floor(side/2/504)))
		vars[2] = ids(h4)
		q := halfOf(h)
		q2, _ := vision.DetectTags(q, max(1, math.Floor(side/4/504)))
		vars[3] = ids(q2)
		h3, _ := vision.DetectTags(h, max(1, math.Floor(side/2/672)))
		vars[4] = ids(h3)
		sum[0] += len(a)
		fmt.Printf("%s %.0f now %d:", n[len(n)-20:], side, len(a))
		for k := 1; k < 5; k++ {
			sum[k] += len(vars[k])
			fmt.Printf("  %d -%v +%v", len(vars[k]), lacks(a, vars[k]), lacks(vars[k], a))
		}
		fmt.Println()
	}
	fmt.Println(sum)
}
