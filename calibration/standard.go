// Package calibration embeds the data that the program rests on, each file with
// its sources beside the values: house standards (mm, g), species and mats. It holds
// bytes only; the packages that use them parse and check them.
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
