package piece

// Value is one measure of a piece with its expanded uncertainty (k = 2, about
// 95 %) in the measure's unit. The zero Value is one that is not known.
type Value struct {
	X, U  float64
	Known bool
	// Estimate marks what was not seen or told for this very piece, such as a
	// weight from one thickness for the whole tray. It has no verdict and no share
	// in a spread, a grade or a capability.
	Estimate bool
	Source   string // where it comes from; empty for what the photo shows
}

// Of is a known value.
func Of(x, u float64) Value { return Value{X: x, U: u, Known: true} }

// Counts reports whether v is known of this very piece, so that it may be judged
// and may count in a spread.
func (v Value) Counts() bool { return v.Known && !v.Estimate }

// Unit is what a measure is written in.
type Unit struct {
	Suffix string  // of its names in files: _mm
	Sign   string  // as people write it after the number, with the space: " mm"
	Scale  float64 // what people read is the value times this: 100 for percent
	Digits int     // decimals in files
}

// The units of measures.
var (
	MM     = Unit{"_mm", " mm", 1, 2}
	MM2    = Unit{"_mm2", " mm²", 1, 1}
	Gram   = Unit{"_g", " g", 1, 2}
	Degree = Unit{"_deg", "°", 1, 2}
	Share  = Unit{"", " %", 100, 3}
	Ratio  = Unit{"", "", 1, 3}
)
