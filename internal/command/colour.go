package command

import (
	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/report"
)

// ColourFlag is --color, on commands whose text has colour.
type ColourFlag struct{ report.Colour }

// Register adds the option.
func (c *ColourFlag) Register(f *pflag.FlagSet) {
	c.Colour = report.ColourAuto
	f.Var(c, "color", "colour the text: auto (on a terminal, unless NO_COLOR is set), always or never")
}

// Set, String and Type make it a flag's value.
func (c *ColourFlag) Set(s string) error {
	switch k := report.Colour(s); k {
	case report.ColourAuto, report.ColourAlways, report.ColourNever:
		c.Colour = k
		return nil
	}
	return phrase.Wrong("use-choose", []string{"auto", "always", "never"})
}

func (c *ColourFlag) String() string { return string(c.Colour) }
func (c *ColourFlag) Type() string   { return "when" }
