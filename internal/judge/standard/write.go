package standard

import (
	"github.com/pelletier/go-toml/v2"

	"netagauge/internal/core/piece"
)

// TOML is the standard as Parse reads it, with every value in it.
func (s Standard) TOML() ([]byte, error) { return toml.Marshal(s) }

// Check returns every contradiction in the standard, one per line.
func (s Standard) Check() error { return s.validate() }

// Rejudged is a measured piece held against this standard in place of the one that it
// was measured by: its measures stay, but for whether a weight that rests on what was
// told of the whole tray says something of this slice.
func (s Standard) Rejudged(p piece.Piece, group string) piece.Piece {
	shared := p.Weight.Estimate || p.Thickness.Estimate
	p.Weight.Estimate = shared && !s.TellsApart(p.Weight.U, group)
	s.Judge(&p, group)
	return p
}
