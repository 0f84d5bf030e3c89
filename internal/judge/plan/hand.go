package plan

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
)

// Scatter is how far a hand holds the knife from what it means to, degrees:
// Tray for all cuts of a tray alike, on either angle, Cut for each by itself.
type Scatter struct {
	Tray float64 `json:"tray_deg"`
	Cut  float64 `json:"cut_deg"`
}

// DefaultScatter is our setting, no source.
func DefaultScatter() Scatter { return Scatter{Tray: 2, Cut: 0.3} }

func (h Scatter) check() error {
	if !(h.Tray >= 0 && h.Tray <= 10 && h.Cut >= 0 && h.Cut <= 5) {
		return phrase.Wrong("plan-scatter", h.Tray, h.Cut, 10, 5)
	}
	return nil
}

// wedge is the difference in thickness, mm, that two cuts by this hand may leave
// over an extent: the difference of two that are spread evenly stays within √2 of
// one's scatter 91 times in 100.
func (h Scatter) wedge(extent float64) float64 {
	return math.Sqrt2 * h.Cut * math.Pi / 180 * extent
}

// coverRoom is how much more than the floor a sure slice covers of the rice.
const coverRoom = 0.01

// stands reports whether a slice keeps to the standard however this hand
// scatters. Length and width go with one over the sine of their angle, as on a
// plain bar; each cut turns about its marks on the block's top, so that the
// middle of the face moves by half the width times the angle.
func (h house) stands(s Slice) bool {
	if len(s.Off) > 0 {
		return false
	}
	holds := func(v, deg, low, high float64) bool {
		off := h.hand.Tray + h.hand.Cut
		flat, steep := sineDeg(max(deg-off, 1)), sineDeg(min(deg+off, 90))
		return inside(v*sineDeg(deg)/flat, low, high) && inside(v*sineDeg(deg)/steep, low, high)
	}
	w := h.WeightFor(h.group)
	swing := h.swing(s)
	return holds(s.Length, s.Theta, h.Length.Low, h.Length.High) && holds(s.Width, s.Phi, h.Width.Low, h.Width.High) &&
		inside(s.Weight-swing, w.Low, w.High) && inside(s.Weight+swing, w.Low, w.High) &&
		s.RiceCover >= min(h.Rice.CoverFloor+coverRoom, 1) &&
		s.WedgeAlong+h.hand.wedge(s.shape.OverallLength*sineDeg(s.Phi)) <= coach.WedgeMost &&
		s.WedgeAcross+h.hand.wedge(s.shape.OverallWidth) <= coach.WedgeMost
}

// swingRoom is how much more a weight may swing than a bar's would. Our setting.
const swingRoom = 1.2

// swing is by how much a slice's weight changes as its two cuts scatter, g.
func (h house) swing(s Slice) float64 {
	if !(s.Thickness > 0) {
		return 0
	}
	return swingRoom * s.Weight * h.hand.wedge(s.Width/2) / s.Thickness
}
