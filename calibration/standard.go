package calibration

import _ "embed"

// StandardNigiri is the built-in house standard for slices for nigiri (TOML);
// its comments say where each value comes from.
//
//go:embed standard-nigiri.toml
var StandardNigiri []byte

// StandardPractice is what differs from StandardNigiri for practice slices (TOML).
//
//go:embed standard-practice.toml
var StandardPractice []byte
