package weight

import (
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// LayAngles are the lay angles a person told: one for the tray, or one for each
// piece named.
type LayAngles struct {
	tray *uncertainty.Value
	each map[int]uncertainty.Value
	told []numbered
}

// ParseLayAngle reads "35" for the whole tray, or "1:30,2:45" piece by piece, in
// degrees between blade and board; see LayAngle.
func ParseLayAngle(text string) (LayAngles, error) {
	if text = strings.TrimSpace(text); !strings.ContainsAny(text, ":") {
		r, err := parseReading(text)
		if err != nil {
			return LayAngles{}, told("what-lay", text, err)
		}
		l, err := LayAngle(r.X)
		if err != nil {
			return LayAngles{}, err
		}
		return LayAngles{tray: &l}, nil
	}
	told, err := parseNumbered("what-lay", text)
	if err != nil {
		return LayAngles{}, err
	}
	a := LayAngles{each: map[int]uncertainty.Value{}, told: told}
	for _, n := range told {
		if a.each[n.Number], err = LayAngle(n.Reading.X); err != nil {
			return LayAngles{}, about(phrase.Of("of-slice", float64(n.Number)), err)
		}
	}
	return a, nil
}

// Of is the lean of two of a piece's walls, cot φ; false when none was told for it.
func (a LayAngles) Of(number int) (uncertainty.Value, bool) {
	if a.tray != nil {
		return *a.tray, true
	}
	l, ok := a.each[number]
	return l, ok
}

// Check refuses an angle for a piece that is not there.
func (a LayAngles) Check(pieces []Piece) error { return checkNumbers("what-lay", a.told, pieces) }
