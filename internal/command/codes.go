package command

import (
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
)

// Exit codes, a contract with scripts; README.md lists them.
const (
	ExitPass    = 0 // everything measured passes
	ExitFails   = 1 // measured, something fails the standard
	ExitUsage   = 2 // wrong usage
	ExitRefused = 3 // a photo was refused or unreadable, or the disk is full
)

// CodeOf is the exit code one report asks for.
func CodeOf(r piece.Tray, s standard.Standard) int {
	if r.Status != piece.TrayMeasured {
		return ExitRefused
	}
	if len(r.MeasuredPieces()) == 0 {
		return ExitRefused // nothing measured is not everything passed
	}
	for _, p := range r.MeasuredPieces() {
		if !s.CountsAsPass(p.Verdict) {
			return ExitFails
		}
	}
	return ExitPass
}

// Refusal says why a photo was not measured.
func Refusal(photo string, r piece.Tray) error {
	if len(r.Problems) == 0 {
		return phrase.Wrong("photo-refused", photo)
	}
	return phrase.Because(piece.ProblemError{Problem: r.Problems[0]}, "photo-refused", photo)
}
