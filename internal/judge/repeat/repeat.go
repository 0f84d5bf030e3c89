// Package repeat tells how well photos of one untouched tray agree: the
// repeatability standard deviation of each measure by ISO 5725-2, with the slices
// as its cells. It measures nothing and reads no photo. Lengths are in mm, areas
// in mm², weights in g, shares from 0 to 1, places in the mat frame.
package repeat

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// samePlace is how far the middle of a slice may lie from where it lay in the first
// photo, mm, to be the same one, untouched. Our setting: slices lie farther apart.
const samePlace = 5.0

// fewestSlices that tell anything of a spread. Our setting.
const fewestSlices = 2

// limitFactor makes the repeatability limit of the standard deviation: 1.96·√2,
// rounded as ISO 5725-6 has it (4.1.4, from memory).
const limitFactor = 2.8

// Limit is the repeatability limit that goes with a repeatability standard deviation.
func Limit(sd float64) float64 { return limitFactor * sd }

// Spread is how far one measure of the same slice differs from photo to photo.
type Spread struct {
	Measure  *piece.Measure
	SD       float64 // repeatability standard deviation s_r
	Limit    float64 // repeatability limit r: two photos differ by less, 95 times in 100
	Greatest float64 // difference seen, of any slice
	Freedom  int     // degrees of freedom behind SD
}

// Agreement is that of all photos of a tray.
type Agreement struct {
	Photos  int
	Slices  int // seen in every photo
	Spreads []Spread
}

// Of compares the photos of one tray. It refuses fewer than two, a photo that was
// refused, and photos that do not show the same slices in the same places.
func Of(trays []piece.Tray) (Agreement, error) {
	if len(trays) < 2 {
		return Agreement{}, phrase.Wrong("repeat-two")
	}
	for _, t := range trays {
		if t.Status != piece.TrayMeasured {
			return Agreement{}, phrase.Wrong("repeat-refused", t.Photo.File)
		}
	}
	cells := Same(trays)
	most := 0
	for _, t := range trays {
		most = max(most, len(t.MeasuredPieces()))
	}
	if len(cells) < fewestSlices || 2*len(cells) < most {
		return Agreement{}, phrase.Wrong("repeat-moved", float64(len(cells)), float64(most))
	}
	out := Agreement{Photos: len(trays), Slices: len(cells)}
	for _, m := range piece.Shown() {
		if s, known := spread(m, cells); known {
			out.Spreads = append(out.Spreads, s)
		}
	}
	return out, nil
}

// Same are the slices that every photo shows in the same place, in the order of
// the first photo: each slice by photo.
func Same(trays []piece.Tray) [][]piece.Piece {
	var out [][]piece.Piece
	for _, p := range trays[0].MeasuredPieces() {
		cell := []piece.Piece{p}
		for _, t := range trays[1:] {
			if q, there := at(t, p.Middle()); there {
				cell = append(cell, q)
			}
		}
		if len(cell) == len(trays) {
			out = append(out, cell)
		}
	}
	return out
}

// at is the measured piece nearest to a place, if it lies there.
func at(t piece.Tray, place [2]float64) (best piece.Piece, there bool) {
	nearest := samePlace
	for _, p := range t.MeasuredPieces() {
		m := p.Middle()
		if d := math.Hypot(m[0]-place[0], m[1]-place[1]); d <= nearest {
			best, nearest, there = p, d, true
		}
	}
	return best, there
}

// spread pools the variances within the slices: s_r² = Σ(nᵢ-1)·sᵢ² / Σ(nᵢ-1) (ISO
// 5725-2:1994, 7.4.5.1). Slices in which the measure is not their own are left out.
func spread(m *piece.Measure, cells [][]piece.Piece) (Spread, bool) {
	s := Spread{Measure: m}
	var squares float64
	for _, cell := range cells {
		values := m.Values(cell)
		if len(values) < len(cell) {
			continue
		}
		_, variance := stat.MeanVariance(values, nil)
		free := len(values) - 1
		squares += float64(free) * variance
		s.Freedom += free
		for i, a := range values {
			for _, b := range values[:i] {
				s.Greatest = math.Max(s.Greatest, math.Abs(a-b))
			}
		}
	}
	if s.Freedom == 0 {
		return s, false
	}
	s.SD = math.Sqrt(squares / float64(s.Freedom))
	s.Limit = Limit(s.SD)
	return s, true
}
