package calibration

import _ "embed"

// MatA3 and MatA4 are reference layouts of the printed mat (JSON, mm in the mat
// frame), drawn up apart from this program; internal/see/mat is held against them.
//
//go:embed mat-a3.json
var MatA3 []byte

//go:embed mat-a4.json
var MatA4 []byte
