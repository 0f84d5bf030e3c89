package inspect

import (
	"errors"
	"image"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/see/mat"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/segment"
)

// Limits beyond which a photo is warned about or refused, beside those of how the mat
// lies in it (mat.WarnTilt and its neighbours). They are our setting, from what
// rendered trays show: up to the warning the numbers keep their interval, beyond the
// refusal they do not.
const (
	warnLight, refuseLight           = 90.0, 45.0 // sRGB code value of white paper
	burntLight                       = 253.0
	burntDark, refuseBurntDark       = 75.0, 98.0 // black lifted as well: exposure, not white paper
	warnResidualMM, refuseResidualMM = 0.25, 0.6
	warnGlareMM2                     = 15.0
	warnTags                         = 2.0 / 3 // of the mat's
)

func refuse(r *piece.Tray, p piece.Problem) {
	r.Status = piece.TrayRefused
	r.Problems = append(r.Problems, p)
}

// unreadable words a decoding error.
func unreadable(err error) piece.Problem {
	code := "unreadable"
	if errors.Is(err, photo.ErrTooLarge) {
		code = "too-large"
	}
	says := phrase.Of("p-" + code)
	if why := (*phrase.Error)(nil); errors.As(err, &why) {
		says = why.Says // the decoder knows more
	}
	return piece.NewProblem(code, says, phrase.Of("r-"+code))
}

// noMat words why no mat was placed. A photo too dark, burnt out or blurred
// hides the tags, so those causes come first.
func noMat(err error, f mat.Found, luma *image.Gray) piece.Problem {
	look := mat.Look(luma)
	switch {
	case look.Middle < 30:
		return piece.NewProblem("too-dark", phrase.Of("p-dark-mat"), phrase.Of("r-too-dark"))
	case look.Burnt > 0.5:
		return piece.NewProblem("too-bright", phrase.Of("p-burnt"), phrase.Of("r-too-bright"))
	case look.Blurred:
		return piece.NewProblem("blurred", phrase.Of("p-blurred-tags"), phrase.Of("r-blurred"))
	case f.Twice > 1:
		return twoMats()
	case errors.Is(err, mat.ErrFewTags) || f.TagsSeen > 0:
		return piece.NewProblem("few-tags", phrase.Of("p-tags-used", float64(f.TagsSeen)), phrase.Of("r-few-tags"))
	}
	return piece.NewProblem("no-mat", phrase.Of("p-no-mat"), phrase.Of("r-no-mat"))
}

// twoMats is what is wrong with a photo whose tags contradict each other and are there
// more than once.
func twoMats() piece.Problem {
	return piece.NewProblem("two-mats", phrase.Of("p-two-mats"), phrase.Of("r-two-mats"))
}

// findings are what is wrong with a photo, and the first of it for which its numbers
// cannot be trusted; nil where they can all the same.
type findings struct {
	problems  []piece.Problem
	untrusted *piece.Problem
}

func (q *findings) add(bad bool, code string, says phrase.Text, remedy string) {
	q.put(bad, piece.NewProblem(code, says, phrase.Of(remedy)))
}

func (q *findings) put(bad bool, p piece.Problem) {
	if q.problems = append(q.problems, p); bad && q.untrusted == nil {
		q.untrusted = &p
	}
}

// quality lists what is wrong with a photo whose mat was found.
func quality(f mat.Found, seen segment.Result) (q findings) {
	if astray(f) && f.Twice > 1 {
		q.put(true, twoMats())
		return q // whatever else is said rests on tags of both
	}
	q.ofPhoto(f)
	q.ofMat(f)
	if seen.Colourless {
		q.add(false, "gray-field", phrase.Of("p-gray-field"), "r-gray-field")
	}
	if seen.GlareMM2 > warnGlareMM2 {
		q.add(false, "glare", phrase.Of("p-glare"), "r-glare")
	}
	if len(seen.Pieces) == 0 {
		q.add(true, "no-pieces", phrase.Of("p-nothing"), "r-no-pieces")
	}
	return q
}

// ofPhoto is how it was taken: from where, how sharp, how bright.
func (q *findings) ofPhoto(f mat.Found) {
	scale := f.PxPerMM()
	if scale < mat.WarnPxPerMM {
		q.add(scale < mat.RefusePxPerMM, "too-far", phrase.Of("p-px", scale), "r-too-far")
	}
	if tilt := f.Camera.Tilt(); tilt > mat.WarnTilt {
		q.add(tilt > mat.RefuseTilt, "tilted", phrase.Of("p-tilt", tilt), "r-tilted")
	}
	if b := f.Sharp.BlurMM; b > mat.WarnBlurMM {
		q.add(b > mat.RefuseBlurMM, "blurred", phrase.Of("p-smeared", b), "r-blurred")
	}
	if l := f.Sharp.Light; l < warnLight {
		q.add(l < refuseLight, "too-dark", phrase.Of("p-dark"), "r-too-dark")
	}
	if f.Sharp.Light > burntLight && f.Sharp.Dark > burntDark {
		q.add(f.Sharp.Dark > refuseBurntDark, "too-bright", phrase.Of("p-pale"), "r-too-bright")
	}
}

// astray reports a mat that lies so that no place on it can be trusted.
func astray(f mat.Found) bool { return f.Residual > refuseResidualMM || f.TagsOff > f.TagsSeen }

// ofMat is how flat the mat lies, and how much of it is seen.
func (q *findings) ofMat(f mat.Found) {
	switch {
	case astray(f):
		q.add(true, "bent-mat", phrase.Of("p-bent-most", f.OffMM), "r-bent-mat")
	case f.Residual > warnResidualMM:
		q.add(false, "bent-mat", phrase.Of("p-bent-mean", f.Residual), "r-flatten")
	case f.TagsOff > 1 && f.Twice > 1:
		q.put(false, twoMats())
	case f.TagsOff > 1:
		q.add(false, "bent-mat", phrase.Of("p-bent-some", float64(f.TagsOff), f.OffMM), "r-flatten")
	}
	if all := len(f.Layout.Tags); float64(f.TagsSeen) < warnTags*float64(all) {
		q.add(false, "covered-mat", phrase.Of("p-mat-covered", float64(f.TagsSeen), float64(all)), "r-covered-mat")
	}
}

// unmeasured tells the person when nothing on the field could be measured.
func unmeasured(pieces []*thing) (piece.Problem, bool) {
	for _, p := range pieces {
		if p.State == piece.Measured {
			return piece.Problem{}, false
		}
	}
	return piece.NewProblem("no-pieces", phrase.Of("p-no-pieces"), phrase.Of("r-apart")), true
}
