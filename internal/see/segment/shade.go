package segment

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Look is how a place looks: the logarithm of its light, and the two differences of
// colour by light.
type Look = [3]float64

// Shade is how the mat looks about a piece, seen from straight above and evened
// out over three pixels either way.
type Shade struct {
	pxPerMM    float64
	x0, y0     int // the pixel that the first look is of
	wide, high int
	looks      []Look
}

// Shade is how the picture looks within an outline, mm.
func (u Upright) Shade(outline []r2.Vec) Shade {
	box := r2.Box{Min: outline[0], Max: outline[0]}
	for _, p := range outline {
		box.Min = r2.Vec{X: min(box.Min.X, p.X), Y: min(box.Min.Y, p.Y)}
		box.Max = r2.Vec{X: max(box.Max.X, p.X), Y: max(box.Max.Y, p.Y)}
	}
	r := u.rect(box).Intersect(u.Picture.Rect)
	s := Shade{pxPerMM: u.PxPerMM, x0: r.Min.X, y0: r.Min.Y, wide: r.Dx(), high: r.Dy()}
	s.looks = make([]Look, s.wide*s.high)
	for i := range s.looks {
		x, y := s.x0+i%s.wide, s.y0+i/s.wide
		c, l := u.Picture.COffset(x, y), u.Picture.Y[u.Picture.YOffset(x, y)]
		s.looks[i] = Look{logs[l], (float64(u.Picture.Cb[c]) - 128) * by[l], (float64(u.Picture.Cr[c]) - 128) * by[l]}
	}
	evened(s.looks, s.high, s.wide, s.wide, 1)
	evened(s.looks, s.wide, s.high, 1, s.wide)
	return s
}

// logs and by are the logarithm of each light and one over it.
var logs, by = func() (logs, by [256]float64) {
	for l := range logs {
		logs[l], by[l] = math.Log(float64(l)+dim), 1/(float64(l)+dim)
	}
	return logs, by
}()

// At is how a place of the mat (whose coordinates are none below 0) looks, mm; false
// beyond what was looked at.
func (s Shade) At(p r2.Vec) (Look, bool) {
	x, y := int(p.X*s.pxPerMM+0.5)-s.x0, int(p.Y*s.pxPerMM+0.5)-s.y0
	if x < 0 || y < 0 || x >= s.wide || y >= s.high {
		return Look{}, false
	}
	return s.looks[y*s.wide+x], true
}

// evened takes the mean of three along each of so many lines, whose starts and
// whose places lie so far apart.
func evened(v []Look, lines, long, apart, step int) {
	for i := range lines {
		at := func(k int) *Look { return &v[i*apart+k*step] }
		before := *at(0)
		for k := range long {
			now, next := *at(k), *at(min(k+1, long-1))
			for c := range now {
				at(k)[c] = (before[c] + now[c] + next[c]) / 3
			}
			before = now
		}
	}
}
