package weight

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// ColdHeld is the usual temperature of the fish, °C: the most that cold holding
// allows (Food Code 3-501.16(A)(2)).
const ColdHeld = 5.0

// The model is for unfrozen flesh that a person would cut.
const coldest, warmest = 0.0, 40.0

// What is not known of a density, as shares of it.
const (
	// modelLow is how far the component model read below measured flesh at most:
	// 1.7 % for herring at 2-3 % fat, and 0.9 to 1.7 % low in all four rows of
	// herring and pike-perch that were found (thermalinfo.ru, density of fish;
	// composition partly assumed). Four rows of two species are too few to
	// correct by, so the model stands and its error, anywhere between none and
	// this, goes into the interval: its root mean square is modelLow/√3.
	modelLow = 0.017
	// speciesSpread is a fish against the mean of its species, and sliceSpread
	// one slice against its fish: 5 and 3 points of fat (our setting, no source)
	// at 1.05 kg/m³ a point (measured on herring of 2.5 and 12 % fat, as above).
	speciesSpread = 0.005
	sliceSpread   = 0.003
)

// Density of flesh, g/cm³, with the key of what would make it better known.
type Density struct {
	uncertainty.Value
	Remedy string
}

// component is ρ = a + b·T + c·T², kg/m³, T in °C.
type component struct{ a, b, c float64 }

func (k component) at(t float64) float64 { return k.a + k.b*t + k.c*t*t }

// The component densities of Choi and Okos (1986) as in the ASHRAE Handbook,
// Refrigeration, 2006, chapter 9; read there at second hand, in a public copy of
// the coefficients. For -40 to 150 °C.
var (
	water        = component{997.18, 3.1439e-3, -3.7574e-3}
	protein      = component{1329.9, -0.51840, 0}
	fat          = component{925.59, -0.41757, 0}
	carbohydrate = component{1599.1, -0.31046, 0}
	ash          = component{2423.8, -0.28063, 0}
)

// Composition of flesh, g per 100 g. It need not add up to 100: only the shares
// of its sum count.
type Composition struct {
	Water        float64 `toml:"water"`
	Protein      float64 `toml:"protein"`
	Fat          float64 `toml:"fat"`
	Carbohydrate float64 `toml:"carbohydrate"`
	Ash          float64 `toml:"ash"`
}

// Sum is the total, g per 100 g.
func (c Composition) Sum() float64 {
	return c.Water + c.Protein + c.Fat + c.Carbohydrate + c.Ash
}

// Density at a temperature in °C, kg/m³, by the mixture rule without pores:
// ρ = Σx / Σ(x/ρ), x being the shares of water, protein, fat, carbohydrate and ash.
func (c Composition) Density(celsius float64) float64 {
	volume := c.Water/water.at(celsius) + c.Protein/protein.at(celsius) + c.Fat/fat.at(celsius) +
		c.Carbohydrate/carbohydrate.at(celsius) + c.Ash/ash.at(celsius)
	return c.Sum() / volume
}

// Density of the species' flesh at a temperature, with the interval that the
// model's known error and the differences between fish and slices leave. It
// refuses temperatures at which flesh is frozen or cooked.
func (s Species) Density(celsius float64) (Density, error) {
	if err := CheckTemperature(celsius); err != nil {
		return Density{}, err
	}
	rho := s.Composition.Density(celsius) / 1000
	u := rho * uncertainty.Combine(modelLow/math.Sqrt(3), speciesSpread, sliceSpread)
	return Density{uncertainty.Value{X: rho, U: u}, "cure-water"}, nil
}

// UnknownFish is the density when no species was told: anywhere between the
// least and the greatest of the built-in table at 5 °C, with the same further
// doubts as a species'.
func UnknownFish() Density {
	low, high := math.Inf(1), 0.0
	for _, s := range builtIn() {
		rho := s.Composition.Density(ColdHeld) / 1000
		low, high = math.Min(low, rho), math.Max(high, rho)
	}
	rho := uncertainty.Rectangular((low+high)/2, (high-low)/2)
	rho.U = uncertainty.Combine(rho.U, rho.X*modelLow/math.Sqrt(3), rho.X*sliceSpread)
	return Density{Value: rho, Remedy: "cure-species"}
}

// CheckTemperature refuses a temperature, °C, for which the densities do not hold.
func CheckTemperature(celsius float64) error {
	if !(celsius >= coldest && celsius <= warmest) {
		return phrase.Wrong("temperature-range", celsius, coldest, warmest)
	}
	return nil
}

// Least and greatest density that flesh can have, g/cm³: fresh fish is given as
// 0.93 to 1.10 (thermalinfo.ru, density of fish), with some room above.
const leastDensity, mostDensity = 0.9, 1.2

// ParseDensity reads a density in g/cm³, such as "1.05". It is known to half of
// its last digit (see parseReading) and to what one slice differs from its fish.
func ParseDensity(text string) (Density, error) {
	r, err := parseReading(text)
	switch {
	case err != nil:
		return Density{}, told("what-density", text, err)
	case r.X > 500 && r.X < 2000:
		return Density{}, told("what-density", text, phrase.Wrong("density-unit", r.X/1000))
	case r.X < leastDensity || r.X > mostDensity:
		return Density{}, told("what-density", text, phrase.Wrong("density-range", leastDensity, mostDensity))
	}
	r.U = uncertainty.Combine(r.U, sliceSpread*r.X)
	return Density{Value: r, Remedy: "cure-density-digit"}, nil
}
