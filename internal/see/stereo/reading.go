package stereo

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/uncertainty"
)

// Reading is what a surface tells of a slice, as far as it can be told.
type Reading struct {
	Top    uncertainty.Value // mean height of the face above the mat, koba included, mm
	Known  bool              // false when texture or distance between the photos are too small
	Koba   Answer
	Width  uncertainty.Value // of the koba, across the edge, mm
	Side   int               // on which it lies, -1 or 1 across the long axis
	Broken Answer            // whether the koba is missing along a part of the edge
	Along  uncertainty.Value // change of height along the whole slice, along the long axis, mm
	Across uncertainty.Value // the same across it, the koba left out, mm
	// Over is the height over a place of the mat, mm: of the face, and of the koba
	// where there is one.
	Over func(p r2.Vec) float64
}

// Answer to a question about a slice.
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
	modelU      = 0.07 // mm: unevenness that a plane does not follow; of 77 slices cut from blocks 95 % then lie within
	weakTexture = 25.0 // mm of doubt by unit of gain
	clearFacet  = 45.0 // log likelihood of a facet that is there
	noFacet     = 15.0 // and of one that is not
	// where texture is this strong: weaker, a koba could hide in it
	textureTells = 250.0
	// By what log likelihood both outlines decide, if texture speaks against it and if
	// it doesn't; of 212 slices on 26 rendered pairs those without a koba reach 12.8 and
	// 10.1, walls that lean each by itself; those with one fall to -1.9.
	sureStep, clearStep, noStep = 20.0, 7.5, -3.0
	againstStep                 = -15.0 // log likelihood of the facet that the outlines tell
	hintStep                    = 3.0   // and by what they forbid the texture to say no
	// A koba goes down a part of the slice, a wall all the way. The renderer that
	// made the pairs draws kobas of 0.35 to 0.60, and this was set knowing it.
	kobaFrom, kobaTo = 0.22, 0.68
	// A facet that goes down farther is a wall that leans out: on rendered pairs
	// nine kobas went down by 0.31 to 0.58, of 28 leaning walls 24 by more.
	wallFrom   = 0.55
	narrowKoba = 2.0 // mm: below, it cannot be told from a rounded edge
	// Narrower, texture alone does not tell it from a wall that leans: of those 185
	// slices five had walls that passed for kobas of 2.0 to 2.5 mm, and no koba was
	// found narrower than 2.7.
	sureKoba   = 2.5  // mm
	betterWall = 10.0 // log likelihood by which a wall explains the photos better than any koba
	// Slopes err more than the curve of the likelihood says, by its unevenness;
	// with these 96 to 98 % of 211 rendered slices lie within.
	slopeDoubt, slopeU = 2.0, 0.1 // mm
	widthU             = 1.2      // mm: of 85 kobas 95 % lie within twice this
	uprightRun         = 0.65     // mm: a wall that leans further looks like a koba
)

// isStep reports whether a facet on a side goes down as far as a koba does.
func (f Facet) isStep(height float64, side int) bool {
	share := f.Drop / math.Max(height, 0.1) // mm: so thin there is nothing to divide by
	return f.Side == side && f.Side != 0 && share > kobaFrom && share < kobaTo
}

// Read reads a surface.
func (s Surface) Read() Reading {
	r := Reading{
		Koba:   s.koba(),
		Along:  uncertainty.Value{X: s.Along * s.Extent.X, U: math.Hypot(slopeDoubt*s.AlongU*s.Extent.X, slopeU)},
		Across: uncertainty.Value{X: s.Across * s.Extent.Y, U: math.Hypot(slopeDoubt*s.AcrossU*s.Extent.Y, slopeU)},
	}
	r.Top.X = s.Height
	var open float64 // what a koba that cannot be told leaves open
	switch {
	case r.Koba == Yes:
		r.Top.X, r.Side, r.Width, r.Broken = s.Mean, s.Facet.Side, uncertainty.Value{X: s.Facet.Width, U: widthU}, s.broken()
	case r.Koba == CannotTell && s.mayBeKoba():
		open = math.Abs(s.Mean-s.Height) / math.Sqrt(3)
	}
	if r.Koba != Yes {
		s.Facet = Facet{}
	}
	r.Over = func(p r2.Vec) float64 { return math.Max(0, s.over(s, p)) }
	r.Top.U = uncertainty.Combine(2*s.HeightU, modelU, weakTexture/math.Max(s.Gain, 1), open)
	r.Known = s.Gain >= leastGain && r.Top.U <= mostU
	if !r.Known {
		r.Koba = CannotTell
	}
	return r
}

// koba decides first by the outlines, which see an edge that lies lower, and
// where they lie too flat to the line between the cameras, by the texture.
func (s Surface) koba() Answer {
	switch {
	case s.Step.Gain > sureStep, s.Step.Gain > clearStep && s.Facet.isStep(s.Height, s.Step.Side):
		return Yes
	case s.Step.Gain < noStep, s.KobaGain < noFacet && s.Gain > textureTells && s.Step.Gain < hintStep:
		return No
	case s.FacetGain > clearFacet && s.isWall() && s.Step.Gain < hintStep:
		return No
	case s.FacetGain-s.KobaGain > betterWall && (s.isWall() || s.Facet.Width < narrowKoba) && s.Step.Gain < hintStep:
		return No
	case s.FacetGain > clearFacet && s.mayBeKoba() && s.Facet.Width > sureKoba:
		return Yes
	}
	return CannotTell
}

// isWall reports whether the facet found goes down as a leaning wall does.
func (s Surface) isWall() bool { return s.Facet.Drop > wallFrom*s.Height }

// mayBeKoba reports whether the facet found is one and no leaning wall.
func (s Surface) mayBeKoba() bool {
	return !s.isWall() && s.Facet.isStep(s.Height, s.Facet.Side) && s.Facet.Width > narrowKoba && math.Abs(s.Run) < uprightRun
}

// broken is told only where texture shows the facet.
func (s Surface) broken() Answer {
	switch {
	case s.FacetGain < clearFacet:
		return CannotTell
	case s.Broken:
		return Yes
	}
	return No
}
