package weight

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/uncertainty"
)

// Thickness of a slice in mm with its standard uncertainty and where it is
// from.
type Thickness struct {
	Value, U float64
	Source   string
}

// Sources of a thickness, as reports name them.
const (
	Entered     = "entered"
	TrayScale   = "tray weight"
	SecondPhoto = "second photo"
)

// Between slices of one tray thickness differs, far more than area does. The
// relative standard deviation is our assumption, no source; it goes into the
// interval whenever one figure stands for a whole tray.
const betweenSlices = 0.15

// Slices for nigiri are 2 to 12 mm thick; the limits leave room and catch slips
// of the decimal point.
const minThickness, maxThickness = 0.5, 30.0

// Given is what a person entered: one thickness for the tray, or some by piece
// number.
type Given struct {
	Tray  *Thickness
	Piece map[int]Thickness
}

// ParseThickness reads "4.1" for the tray or "1:4.2,2:3.9" by piece number. A
// figure is taken as rounded to its last digit (GUM 4.3.7).
func ParseThickness(s string) (Given, error) {
	if !strings.Contains(s, ":") {
		t, err := reading(s)
		if err != nil {
			return Given{}, err
		}
		t.U = uncertainty.Combine(t.U, betweenSlices*t.Value)
		return Given{Tray: &t}, nil
	}
	g := Given{Piece: map[int]Thickness{}}
	for part := range strings.SplitSeq(s, ",") {
		num, val, ok := strings.Cut(part, ":")
		n, err := strconv.Atoi(strings.TrimSpace(num))
		if !ok || err != nil || n < 1 {
			return Given{}, fmt.Errorf("thickness %q is not NUMBER:MM, such as 1:4.2", part)
		}
		if _, twice := g.Piece[n]; twice {
			return Given{}, fmt.Errorf("piece %d is given two thicknesses", n)
		}
		if g.Piece[n], err = reading(val); err != nil {
			return Given{}, fmt.Errorf("piece %d: %w", n, err)
		}
	}
	return g, nil
}

// reading is one figure in mm and the uncertainty of its last digit.
func reading(s string) (Thickness, error) {
	s = strings.TrimSpace(s)
	v, err := strconv.ParseFloat(s, 64)
	switch {
	case err != nil || strings.ContainsAny(s, "eExXpP_nN"):
		return Thickness{}, fmt.Errorf("thickness %q is not a number of millimetres", s)
	case !(v >= minThickness && v <= maxThickness):
		return Thickness{}, fmt.Errorf("thickness %s mm is not that of a slice: give %g to %g", s, minThickness, maxThickness)
	}
	return Thickness{v, uncertainty.Rectangular(v, lastDigit(s)/2).U, Entered}, nil
}

// lastDigit is the worth of a decimal figure's last digit.
func lastDigit(s string) float64 {
	_, frac, _ := strings.Cut(s, ".")
	worth := 1.0
	for range frac {
		worth /= 10
	}
	return worth
}

// Of returns the thickness entered for a piece.
func (g Given) Of(number int) (Thickness, bool) {
	if t, ok := g.Piece[number]; ok {
		return t, true
	}
	if g.Tray != nil {
		return *g.Tray, true
	}
	return Thickness{}, false
}

// Unknown lists the entered numbers that are not on the tray.
func (g Given) Unknown(numbers []int) []int {
	var out []int
	for n := range g.Piece {
		if !slices.Contains(numbers, n) {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}
