// Package weight turns the area of a slice's face into grams: density from
// composition, thickness from what the kitchen knows, and the uncertainty of
// both. Units are mm, mm², g, g/cm³ and °C; every u is a standard uncertainty
// (k = 1), every U an expanded one (k = 2). It invents nothing: without a
// thickness there is no weight.
package weight

import (
	"fmt"
	"math"

	"netagauge/internal/uncertainty"
)

// Density of flesh in g/cm³ with its standard uncertainty.
type Density struct {
	Value, U float64
	Source   string
}

// Densities of fish flesh lie between 0.93 and 1.1 g/cm³ (fresh fish, as
// thermalinfo.ru lists them); the limits leave room and catch kg/m³.
const minDensity, maxDensity = 0.85, 1.30

// enteredU is the relative uncertainty of a density that a person enters: the
// spread of one species between books, our assumption.
const enteredU = 0.005

// EnteredDensity is a density given by the person, g/cm³.
func EnteredDensity(v float64) (Density, error) {
	if !(v >= minDensity && v <= maxDensity) {
		return Density{}, fmt.Errorf("density %g is not that of fish: give g/cm³, about 1.05", v)
	}
	return Density{v, enteredU * v, "entered"}, nil
}

// Composition is the make-up of flesh in grams per 100 g; the parts need not
// add up to 100.
type Composition struct {
	Water        float64 `toml:"water"`
	Protein      float64 `toml:"protein"`
	Fat          float64 `toml:"fat"`
	Carbohydrate float64 `toml:"carbohydrate"`
	Ash          float64 `toml:"ash"`
}

// modelLow is how much the model reads below measured flesh: 0.9 to 1.7 % on
// herring and pike-perch (thermalinfo.ru). The bias is not corrected, since
// part of it may come from assumed composition; it widens the interval.
const modelLow = 0.017

// ColdHeld is the temperature fish is held at, °C: 5 or less by the FDA Food
// Code, 3-501.16(A)(2).
const ColdHeld = 5.0

// Density is that of the flesh at a temperature in °C, by the equations of Choi
// and Okos (1986) for each component, as tabulated in the ASHRAE Handbook,
// Refrigeration, chapter 9 (2006), and the mixture rule ρ = Σx / Σ(x/ρᵢ) for
// flesh without pores. It holds from -40 to 150 °C; below freezing the water
// here is still taken as liquid, so t must not be below 0.
func (c Composition) Density(t float64) (Density, error) {
	if !(t >= 0 && t <= 40) {
		return Density{}, fmt.Errorf("fish temperature %g °C is out of range: give 0 to 40", t)
	}
	parts := []struct{ x, rho float64 }{
		{c.Water, 997.18 + 3.1439e-3*t - 3.7574e-3*t*t},
		{c.Protein, 1329.9 - 0.51840*t},
		{c.Fat, 925.59 - 0.41757*t},
		{c.Carbohydrate, 1599.1 - 0.31046*t},
		{c.Ash, 2423.8 - 0.28063*t},
	}
	var mass, volume float64
	for _, p := range parts {
		if !(p.x >= 0 && p.x <= 100) {
			return Density{}, fmt.Errorf("a composition of %g g per 100 g is impossible", p.x)
		}
		mass += p.x
		volume += p.x / p.rho
	}
	if !(mass > 50) || math.IsInf(volume, 0) {
		return Density{}, fmt.Errorf("a composition of %g g per 100 g is not complete", mass)
	}
	rho := mass / volume / 1000
	return Density{rho, uncertainty.Rectangular(rho, modelLow*rho).U, "composition"}, nil
}
