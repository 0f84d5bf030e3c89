package stereo

import (
	"math"

	"netagauge/internal/uncertainty"
)

// Reading is what a surface tells of a slice, as far as it can be told.
type Reading struct {
	Top      uncertainty.Value // mean height of the face above the mat, koba included, mm
	Known    bool              // false when texture or distance between the photos are too small
	Koba     Answer
	Width    float64 // of the koba, across the edge, mm
	Broken   bool    // the koba is missing along a part of the edge
	WedgeMM  float64 // change of height along the whole slice, along the long axis, mm
	AcrossMM float64 // the same across it, the koba left out, mm
}

// Answer to whether there is a koba.
type Answer int

// The answers.
const (
	CannotTell Answer = iota
	Yes
	No
)

// How a surface is read. Chosen on rendered pairs: no source, and no fish.
const (
	leastGain   = 80.0 // log likelihood that texture must bring
	mostU       = 0.3  // mm
	modelU      = 0.05 // mm: unevenness that a plane does not follow
	weakTexture = 25.0 // mm of doubt by unit of gain
	clearFacet  = 60.0 // log likelihood of a facet that is there
	noFacet     = 15.0 // and of one that is not
	// A koba goes down a part of the slice, a wall all the way. The renderer that
	// made the pairs draws kobas of 0.35 to 0.60, and this was set knowing it.
	kobaFrom, kobaTo = 0.22, 0.68
	narrowKoba       = 2.0 // mm: below, it cannot be told from a rounded edge
	uprightRun       = 1.3 // mm: a wall that leans further looks like a koba
)

// Read reads a surface.
func (s Surface) Read() Reading {
	share := s.Facet.Drop / math.Max(s.Height, 0.1)
	r := Reading{Koba: CannotTell, WedgeMM: s.Along * s.Extent.X, AcrossMM: s.Across * s.Extent.Y}
	r.Top.X = s.Height
	step := s.Facet.Side != 0 && share > kobaFrom && share < kobaTo && s.Facet.Width > narrowKoba
	switch {
	case s.StepGain < noFacet:
		r.Koba = No
	case step && s.FacetGain > clearFacet && math.Abs(s.Run) < uprightRun:
		r.Koba, r.Width, r.Broken, r.Top.X = Yes, s.Facet.Width, s.Broken, s.Mean
	}
	var open float64 // what a koba that cannot be told leaves open
	if r.Koba == CannotTell && step && math.Abs(s.Run) < uprightRun {
		open = math.Abs(s.Mean-s.Height) / math.Sqrt(3)
	}
	r.Top.U = uncertainty.Combine(2*s.HeightU, modelU, weakTexture/math.Max(s.Gain, 1), open)
	r.Known = s.Gain >= leastGain && r.Top.U <= mostU
	if !r.Known {
		r.Koba = CannotTell
	}
	return r
}
