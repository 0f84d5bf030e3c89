// Package shape turns the outline of a slice into its measures: length, width,
// area, taper, width profile and rice cover. It speaks millimetres in the mat
// frame (x right, y down) and is pure geometry: no pixels, no tolerances.
package shape

import "gonum.org/v1/gonum/spatial/r2"

// Outline is a closed polygon in mm, not self-crossing, first point not
// repeated, either direction of travel.
type Outline []r2.Vec
