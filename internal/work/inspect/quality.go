package inspect

import (
	"errors"
	"fmt"
	"image"

	"netagauge/internal/see/mat"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/segment"
	"netagauge/internal/tell/report"
)

// Limits beyond which a photo is warned about or refused. They are our
// setting, from what rendered trays show: up to the warning the numbers keep
// their interval, beyond the refusal they do not.
const (
	warnPxPerMM, refusePxPerMM       = 2.5, 1.6
	warnTilt, refuseTilt             = 28.0, 35.0 // degrees
	warnBlurMM, refuseBlurMM         = 0.7, 1.6   // rise of a tag's step
	warnLight, refuseLight           = 90.0, 45.0 // sRGB code value of white paper
	burntLight                       = 253.0
	burntDark, refuseBurntDark       = 75.0, 98.0 // black lifted as well: exposure, not white paper
	warnResidualMM, refuseResidualMM = 0.25, 0.6
	warnGlareMM2                     = 15.0
)

func refuse(r *report.Report, p report.Problem) {
	r.Status = report.Refused
	r.Problems = append(r.Problems, p)
}

// unreadable words a decoding error.
func unreadable(err error) report.Problem {
	if errors.Is(err, photo.ErrTooLarge) {
		return report.Problem{Code: "too-large", Message: err.Error(), Remedy: "set the phone to its usual photo size and take the photo again"}
	}
	return report.Problem{Code: "unreadable", Message: err.Error(), Remedy: "send the photo as the phone saved it: JPEG, PNG or HEIC, whole"}
}

// noMat words why no mat was placed. A photo too dark, burnt out or blurred
// hides the tags, so those causes come first.
func noMat(err error, f mat.Found, luma *image.Gray) report.Problem {
	look := mat.Look(luma)
	switch {
	case look.Middle < 30:
		return report.Problem{Code: "too-dark", Message: "the photo is too dark to see the mat", Remedy: "switch on more light, or move the tray to the window"}
	case look.Burnt > 0.5:
		return report.Problem{Code: "too-bright", Message: "the photo is burnt out", Remedy: "tap the mat on the screen so that the phone exposes for it"}
	case look.Blurred:
		return report.Problem{Code: "blurred", Message: "the photo is blurred: no tag of the mat can be read", Remedy: "hold still, tap the mat to focus, clean the lens"}
	case errors.Is(err, mat.ErrFewTags) || f.TagsSeen > 0:
		return report.Problem{Code: "few-tags", Message: fmt.Sprintf("only %d of the mat's tags can be used", f.TagsSeen), Remedy: "move back until the whole mat is in the picture and nothing lies on its border"}
	}
	return report.Problem{Code: "no-mat", Message: "no printed mat is in the picture", Remedy: "lay the slices on the blue field of the printed mat and photograph all of it"}
}

// quality lists what is wrong with a photo whose mat was found, and says
// whether its numbers can be trusted all the same.
func quality(f mat.Found, seen segment.Result) ([]report.Problem, bool) {
	var ps []report.Problem
	trusted := true
	add := func(bad bool, code, message, remedy string) {
		ps = append(ps, report.Problem{Code: code, Message: message, Remedy: remedy})
		trusted = trusted && !bad
	}
	scale := f.PxPerMM()
	if scale < warnPxPerMM {
		add(scale < refusePxPerMM, "too-far", fmt.Sprintf("the mat is small in the picture: %.1f pixels a millimetre", scale), "move closer, until the mat fills the picture")
	}
	if tilt := f.Camera.Tilt(); tilt > warnTilt {
		add(tilt > refuseTilt, "tilted", fmt.Sprintf("the phone was tilted by %.0f°", tilt), "hold the phone flat above the middle of the mat")
	}
	if b := f.Sharp.BlurMM; b > warnBlurMM {
		add(b > refuseBlurMM, "blurred", fmt.Sprintf("edges are smeared over %.1f mm", b), "hold still, tap the mat to focus, clean the lens")
	}
	if l := f.Sharp.Light; l < warnLight {
		add(l < refuseLight, "too-dark", "the photo is dark", "switch on more light, or move the tray to the window")
	}
	if f.Sharp.Light > burntLight && f.Sharp.Dark > burntDark {
		add(f.Sharp.Dark > refuseBurntDark, "too-bright", "the photo is overexposed: pale slices lose their edge", "tap the mat on the screen so that the phone exposes for it")
	}
	switch {
	case f.Residual > refuseResidualMM || f.TagsOff > f.TagsSeen:
		add(true, "bent-mat", fmt.Sprintf("the tags lie up to %.1f mm away from a flat mat", f.OffMM), "press the mat flat or tape it to a board, and send the photo as it was taken, not cropped")
	case f.Residual > warnResidualMM:
		add(false, "bent-mat", fmt.Sprintf("the tags lie %.1f mm away from a flat mat on average", f.Residual), "press the mat flat, or tape it to a board")
	case f.TagsOff > 1:
		add(false, "bent-mat", fmt.Sprintf("%d tags lie up to %.1f mm away from a flat mat", f.TagsOff, f.OffMM), "press the mat flat, or tape it to a board")
	}
	if seen.GlareMM2 > warnGlareMM2 {
		add(false, "glare", "light mirrors in the tray and washes out colour", "turn the tray or step out of the lamp's mirror image")
	}
	if len(seen.Pieces) == 0 {
		add(true, "no-pieces", "nothing lies on the field", "lay the slices on the blue field, apart from each other")
	}
	return ps, trusted
}

// unmeasured tells the person when nothing on the field could be measured.
func unmeasured(pieces []*piece) (report.Problem, bool) {
	for _, p := range pieces {
		if p.state == report.PieceMeasured {
			return report.Problem{}, false
		}
	}
	return report.Problem{Code: "no-pieces", Message: "nothing on the field could be measured as a slice", Remedy: "lay the slices apart and inside the field, and take the photo in colour and even light"}, true
}
