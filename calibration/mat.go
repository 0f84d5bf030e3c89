package calibration

import "embed"

// Mats are reference layouts of printed mats, mat-NAME.json (mm in the mat frame),
// drawn up apart from this program; internal/see/mat is held against them, and other
// programs may read them.
//
//go:embed mat-*.json
var Mats embed.FS
