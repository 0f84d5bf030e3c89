package calibration

import _ "embed"

// Species is the composition of raw flesh by species (TOML); its comments say
// where each value comes from.
//
//go:embed species.toml
var Species []byte
