package segment

import (
	"image"
	"math"

	"netagauge/internal/see/vision"
)

// A pixel belongs to a piece when its colour lies further from the bare mat's
// than this share of the mat's own distance from gray, or than so many times
// the noise. Light on water moves colour towards gray: what lies aside of that way need
// not lie as far off. Nor does what is so much brighter than bare mat as no shadow makes
// it: pale salmon has the colour of a wooden board. On a mat without colour brightness
// decides instead.
const (
	chromaShare = 0.33
	noiseTimes  = 6
	asideShare  = 0.6  // of the limit
	brighter    = 1.3  // times
	grayChroma  = 0.15 // below this the mat counts as colourless
	grayColour  = 0.07 // colour difference that shows a piece on it
	grayLight   = 0.22 // log of the brightness ratio that shows a piece on it
)

// noisy reports whether noise, rather than the mat's colour, sets the limit.
func (f *field) noisy() bool { return noiseTimes*f.noise > chromaShare*f.chroma }

// mask marks the pixels that do not look like bare mat: their colour lies farther
// from it than a share of its own distance from gray.
func (f *field) mask(p *image.YCbCr, share float64) *image.Gray {
	out := image.NewGray(p.Rect)
	limit := math.Max(share*f.chroma, noiseTimes*f.noise)
	inRows(f.h, func(y int) {
		if f.gray() {
			f.grayRow(p, y, out.Pix[y*out.Stride:])
		} else {
			f.colourRow(p, y, limit, out.Pix[y*out.Stride:])
		}
	})
	return out
}

// inRows runs do for every row, on as many cores as there are.
func inRows(n int, do func(y int)) {
	vision.InBands(n, func(from, to int) {
		for y := from; y < to; y++ {
			do(y)
		}
	})
}

// colourRow marks a row by colour alone: shadows and uneven light leave it be. A
// phone that lifts shadows may move brightness and leave colour, or the other way
// round, so that bare mat in a shadow looks richer in colour than in the light:
// colour of the mat's own hue counts as bare as long as it is no stronger, before
// it is divided by brightness, than the mat's.
func (f *field) colourRow(p *image.YCbCr, y int, limit float64, row []byte) {
	at := y * p.YStride
	along := f.along(y)
	side := max(asideShare*limit, noiseTimes*f.noise)
	for x0 := 0; x0 < f.w; x0 += 8 { // the model is smooth: one value for 8 pixels
		ml, mb, mr := along.at(2*float64(x0+4)/float64(f.w) - 1)
		hue2 := mb*mb + mr*mr
		perHue, bright, side2 := 1/hue2, brighter*ml, side*side*hue2
		for x := x0; x < min(x0+8, f.w); x++ {
			l := float64(p.Y[at+x]) + dim
			b, r := float64(p.Cb[at+x])-128, float64(p.Cr[at+x])-128
			if aside := b*mr - r*mb; l > bright || aside*aside > side2*l*l {
				row[x] = 255
				continue
			}
			if !far(b, r, mb, mr, l, limit) {
				continue
			}
			// hue is the brightness at which the mat would show this much of its own.
			if hue := (b*mb + r*mr) * perHue; l >= ml || hue <= l || far(b, r, mb, mr, min(hue, richest*ml), limit) {
				row[x] = 255
			}
		}
	}
}

// far tells, without a division, whether a colour by a brightness lies farther from
// the mat's than a limit.
func far(b, r, mb, mr, l, limit float64) bool {
	db, dr := b-mb*l, r-mr*l
	return db*db+dr*dr > limit*limit*l*l
}

// richest is how much stronger than the lit mat's the colour of a shadow on it
// may be. Our setting.
const richest = 1.15

// grayRow marks a row by colour or brightness, on a mat without colour.
func (f *field) grayRow(p *image.YCbCr, y int, row []byte) {
	at, limit := y*p.YStride, f.grayLimit()
	for x := range f.w {
		ml, mb, mr := f.at(x, y)
		l, b, r := ratios(p.Y[at+x], p.Cb[at+x], p.Cr[at+x])
		far := math.Hypot(b-mb, r-mr) > limit
		if far || math.Abs(math.Log(l/math.Max(ml, 1))) > grayLight {
			row[x] = 255
		}
	}
}

// gray reports whether the mat counts as colourless.
func (f *field) gray() bool { return f.chroma < grayChroma }

// grayLimit is how far a colour must lie from that of a mat without colour.
func (f *field) grayLimit() float64 { return math.Max(grayColour, noiseTimes*f.noise) }
