// Package printscale tells how large a mat was really printed, from an object
// of known size that lay on it, and keeps the answer for each mat. A scale is
// the true length over the length in the mat's layout: 0.97 for a mat printed at
// 97 %. Lengths are in mm, areas in mm². It never sees a photo: measures come in
// as taken with the layout believed, that is at a scale of 1.
package printscale

import (
	"math"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Object is a thing of known size that a kitchen has at hand. A coin has its
// diameter as Length and Width. Tolerance is the half-width within which a
// real one lies; Height is how far its upper edge is off the mat, which the
// photo's parallax needs.
type Object struct {
	Name          string
	Length, Width float64
	Tolerance     [2]float64 // of Length and Width
	Height        float64
	Source        string
}

// coinTolerance allows for wear. Our setting, no source.
const coinTolerance = 0.1

func coin(name string, diameter, height float64, source string) Object {
	return Object{name, diameter, diameter, [2]float64{coinTolerance, coinTolerance}, height, source}
}

// Heights of coins that no source here gives are taken as 1.7 mm, from memory;
// coinHeight more or less is 0.05 to 0.1 % of a length.
const usualCoin, coinHeight = 1.7, 0.3

// Rim is the height of the object's upper edge off the mat, mm.
func (o Object) Rim() uncertainty.Value { return uncertainty.Rectangular(o.Height, coinHeight) }

// objects: V means read in the source given, V2 seen at second hand, M from
// memory.
var objects = []Object{
	{"card", 85.60, 53.98, [2]float64{0.13, 0.06}, 0.76, "ISO/IEC 7810 ID-1 (V2); tolerance of an unused card (M)"},
	coin("1 yen", 20.0, 1.5, "mint.go.jp (V), height (V2)"),
	coin("5 yen", 22.0, usualCoin, "mint.go.jp (V)"),
	coin("10 yen", 23.5, usualCoin, "mint.go.jp (V)"),
	coin("50 yen", 21.0, usualCoin, "V2"),
	coin("100 yen", 22.6, usualCoin, "V2"),
	coin("500 yen", 26.5, usualCoin, "V2"),
	coin("2 euro", 25.75, 2.20, "EUR-Lex, Reg. 975/98 (V), height (V2)"),
	coin("1 euro", 23.25, 2.33, "EUR-Lex, Reg. 975/98 (V), height (V2)"),
	coin("50 cent", 24.25, usualCoin, "EUR-Lex, Reg. 975/98 (V)"),
	coin("20 cent", 22.25, usualCoin, "V2"),
	coin("10 cent", 19.75, usualCoin, "V2"),
	coin("US quarter", 24.26, 1.75, "V2"),
}

// Card is the ID-1 card: bank, identity and driving cards have its size.
func Card() Object { return objects[0] }

func names(os []Object) string {
	var out []string
	for _, o := range os {
		out = append(out, o.Name)
	}
	return strings.Join(out, ", ")
}

// Coin returns the coin of a name; upper case and spaces do not count.
func Coin(name string) (Object, error) {
	plain := func(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }
	for _, o := range coins() {
		if plain(o.Name) == plain(name) {
			return o, nil
		}
	}
	return Object{}, phrase.Wrong("print-coin-unknown", strconv.Quote(name), names(coins()))
}

func coins() []Object { return objects[1:] }

// A card is told from a slice by its proportions, at any scale a printer makes.
const (
	cardRatio = 0.015 // how far length over width may be off
	cardFill  = 0.985 // least share of its rectangle; rounded corners take 0.2 %
)

// IsCard reports whether an outline of these extents and area, at a scale of 1,
// is that of an ID-1 card on a mat printed between 90 and 110 %.
func IsCard(length, width, area float64) bool {
	c := Card()
	scale := c.Length / length
	return scale > least && scale < most &&
		math.Abs(length/width/(c.Length/c.Width)-1) < cardRatio && area > cardFill*length*width
}
