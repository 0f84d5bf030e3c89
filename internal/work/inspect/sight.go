package inspect

import (
	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/parallax"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/segment"
)

// sight is one photo with what was found in it so far.
type sight struct {
	pic   *photo.Picture
	found mat.Found
	up    segment.Upright
	seen  segment.Result
	print printScale
	alone bool // of a second photo: its camera is not fitted as one with the first's
}

// locate reads a photo and finds the mat in it; nil when both went well.
func locate(data []byte) (sight, *piece.Problem) {
	var s sight
	pic, err := photo.Decode(data)
	if err != nil {
		p := unreadable(err)
		return s, &p
	}
	s.pic = pic
	if s.found, err = mat.Find(pic.Luma(), pic.F35); err != nil {
		p := noMat(err, s.found, pic.Luma())
		return s, &p
	}
	return s, nil
}

// outline finds the pieces.
func (s *sight) outline() (err error) {
	s.seen, s.up, err = segment.Find(s.pic.YCbCr, s.found)
	return err
}

// scale brings what was seen to true mm.
func (s *sight) scale(print printScale) {
	s.print = print
	s.seen, s.found = print.scaled(s.seen), s.found.Scaled(print.value)
	s.up.PxPerMM /= print.value
}

// eye is where the photo was taken from, above whatever the slices lie on.
func (s *sight) eye(sheetMM float64) parallax.Eye {
	e := s.found.Camera.Eye()
	return parallax.Eye{Foot: r2.Vec{X: e.X, Y: e.Y}, Height: -e.Z - raised(sheetMM)}
}

// raised is how far above the mat as the photo shows it the upper side of a clear
// sheet lies, mm: from above, a sheet lifts what is seen through it by 1 - 1/n of
// its thickness (Snell's law). What is left of a sheet's thickness, t/n, is what two
// photos see in a slice beside its own.
func raised(sheetMM float64) float64 { return sheetMM / refraction }

// refraction is the refractive index of clear film: polyethylene 1.51, PVC 1.54,
// acrylic 1.49 (from memory).
const refraction = 1.5
