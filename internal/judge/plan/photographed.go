package plan

import "netagauge/internal/judge/standard"

// Photographed is what is told of a block whose length and widths come from its
// photo.
type Photographed struct {
	Heights  string // as ParseHeights reads them
	Standard standard.Standard
	Group    string // of the species
	Options  Options
}
