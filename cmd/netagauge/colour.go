package main

import (
	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/report"
)

// colourFlag is --color, on commands whose text has colour.
type colourFlag struct{ report.Colour }

func (c *colourFlag) register(f *pflag.FlagSet) {
	c.Colour = report.ColourAuto
	f.Var(c, "color", "colour the text: auto (on a terminal, unless NO_COLOR is set), always or never")
}

// Set, String and Type make it a flag's value.
func (c *colourFlag) Set(s string) error {
	switch k := report.Colour(s); k {
	case report.ColourAuto, report.ColourAlways, report.ColourNever:
		c.Colour = k
		return nil
	}
	return phrase.Wrong("use-choose", []string{"auto", "always", "never"})
}

func (c *colourFlag) String() string { return string(c.Colour) }
func (c *colourFlag) Type() string   { return "when" }
