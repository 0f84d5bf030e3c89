package segment

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/vision"
)

// colour is brightness and the two colour differences, not yet divided.
type colour struct{ l, b, r float64 }

// planes are the photo at the resolution of its colour: brightness averaged
// down to it, so that brightness and colour are blurred alike and a pixel on an
// edge is a true mixture of its sides. Phones smooth colour further than
// brightness to hide noise; even is brightness blurred by as much more.
type planes struct {
	photo  *image.YCbCr
	sx, sy int // brightness pixels a colour sample spans
	sharp  *image.Gray
	even   *image.Gray // sharp itself where colour is as sharp
	light  float64     // mm: the rise of a sharp step of brightness
	blur   float64     // mm: the sigma of a sharp step of colour
	smear  float64     // mm: the sigma by which colour is smeared further than brightness, or 0
}

// look reads the photo's planes and how sharp they are.
func look(photo *image.YCbCr, f mat.Found) (*planes, error) {
	p := newPlanes(photo)
	seen := p.chart(&f.Camera, f.Layout.Field)
	sample := float64(p.sx) / f.PxPerMM() // mm
	p.blur = seen.colour / gaussRise
	if p.blur == 0 {
		p.blur = sample / gaussRise
	}
	p.light, p.smear = seen.light, seen.uneven(sample)
	if p.light == 0 {
		p.light = f.Sharp.BlurMM
	}
	if p.smear == 0 {
		return p, nil
	}
	var err error
	p.even, err = vision.Blur(p.sharp, p.smear/sample)
	return p, err
}

func newPlanes(photo *image.YCbCr) *planes {
	p := &planes{photo: photo, sx: 1, sy: 1}
	switch photo.SubsampleRatio {
	case image.YCbCrSubsampleRatio420:
		p.sx, p.sy = 2, 2
	case image.YCbCrSubsampleRatio422:
		p.sx = 2
	case image.YCbCrSubsampleRatio440:
		p.sy = 2
	case image.YCbCrSubsampleRatio411:
		p.sx = 4
	case image.YCbCrSubsampleRatio410:
		p.sx, p.sy = 4, 2
	}
	p.sharp = p.lightAsColour()
	p.even = p.sharp
	return p
}

// lightAsColour is the photo's brightness at the resolution of its colour.
func (p *planes) lightAsColour() *image.Gray {
	if p.sx == 2 && p.sy == 2 { // as phones write it
		return vision.Halved(lightOf(p.photo))
	}
	w, h, n := p.photo.Rect.Dx()/p.sx, p.photo.Rect.Dy()/p.sy, p.sx*p.sy
	out := image.NewGray(image.Rect(0, 0, w, h))
	inRows(h, func(y int) {
		row := out.Pix[y*w : (y+1)*w]
		for x := range row {
			sum := n / 2
			for dy := range p.sy {
				from := p.photo.Y[(y*p.sy+dy)*p.photo.YStride+x*p.sx:]
				for dx := range p.sx {
					sum += int(from[dx])
				}
			}
			row[x] = uint8(sum / n)
		}
	})
	return out
}

// at samples the planes at a place of the photo, bilinear.
func (p *planes) at(q r2.Vec, light *image.Gray) (colour, bool) {
	u, v := (q.X+0.5)/float64(p.sx)-0.5, (q.Y+0.5)/float64(p.sy)-0.5
	x, y := int(math.Floor(u)), int(math.Floor(v))
	if x < 0 || y < 0 || x+1 >= light.Rect.Dx() || y+1 >= light.Rect.Dy() {
		return colour{}, false
	}
	fx, fy := u-float64(x), v-float64(y)
	i, k := y*light.Stride+x, y*p.photo.CStride+x
	up, down := light.Pix[i:i+2], light.Pix[i+light.Stride:][:2]
	blue, red := p.photo.Cb[k:], p.photo.Cr[k:]
	blueUp, blueDown, redUp, redDown := blue[:2], blue[p.photo.CStride:][:2], red[:2], red[p.photo.CStride:][:2]
	mix := func(a, b, c, d byte, zero float64) float64 {
		return (1-fx)*(1-fy)*(float64(a)-zero) + fx*(1-fy)*(float64(b)-zero) + (1-fx)*fy*(float64(c)-zero) + fx*fy*(float64(d)-zero)
	}
	c := colour{
		mix(up[0], up[1], down[0], down[1], 0), mix(blueUp[0], blueUp[1], blueDown[0], blueDown[1], 128), mix(redUp[0], redUp[1], redDown[0], redDown[1], 128),
	}
	c.l += dim
	return c, true
}

// bilinear samples one plane at a place of it.
func bilinear(g *image.Gray, q r2.Vec) (float64, bool) {
	x, y := int(math.Floor(q.X)), int(math.Floor(q.Y))
	if x < 0 || y < 0 || x+1 >= g.Rect.Dx() || y+1 >= g.Rect.Dy() {
		return 0, false
	}
	fx, fy := q.X-float64(x), q.Y-float64(y)
	i := y*g.Stride + x
	a, b := float64(g.Pix[i]), float64(g.Pix[i+1])
	c, d := float64(g.Pix[i+g.Stride]), float64(g.Pix[i+g.Stride+1])
	return (1-fy)*((1-fx)*a+fx*b) + fy*((1-fx)*c+fx*d), true
}
