package calibration

import _ "embed"

// Coverage are the factors by which intervals are widened or narrowed to hold the
// truth of 95 % of the slices, by group (CSV). `go run ./cmd/coverage --fit` writes
// it from testdata/coverage; the package coverage says what a group is.
//
//go:embed coverage.csv
var Coverage []byte
