package main

import (
	"context"
	"io"
	"strings"

	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/weight"
	"netagauge/internal/tell/terminal"
)

const speciesHelp = `List the species whose density is known, with where it comes from.

  netagauge species
  netagauge species maguro hirame --temperature 2
  netagauge species --species-file ours.toml

Densities are worked out from the flesh's composition and read a little low
against measured flesh; the interval says how much that may be (about 95 %).

Exit codes: 0 listed, 2 wrong usage or a species file with a mistake.
`

func runSpecies(_ context.Context, args []string, to *caller) (int, error) {
	f := newFlags("species", speciesHelp, to)
	celsius := f.Float64("temperature", weight.ColdHeld, "temperature of the fish in °C")
	file := f.String("species-file", "", "species of your own, a TOML file like calibration/species.toml")
	if err := to.parse(f, args); err != nil {
		return exitUsage, err
	}
	if err := weight.CheckTemperature(*celsius); err != nil {
		return exitUsage, usageError{err}
	}
	table, err := speciesTable(*file)
	if err != nil {
		return exitUsage, usageError{err}
	}
	if f.NArg() > 0 {
		if table, err = pick(table, f.Args()); err != nil {
			return exitUsage, usageError{err}
		}
	}
	if err := to.listSpecies(table, *celsius); err != nil {
		return exitRefused, err
	}
	return exitPass, nil
}

// speciesTable is the built-in table, under the person's own where one is named.
func speciesTable(file string) (weight.Table, error) {
	if file == "" {
		return weight.BuiltIn(), nil
	}
	own, err := weight.LoadTable(file)
	if err != nil {
		return nil, err
	}
	return weight.BuiltIn().With(own), nil
}

func pick(t weight.Table, names []string) (weight.Table, error) {
	var out weight.Table
	for _, n := range names {
		s, err := t.Find(n)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

func (c *caller) listSpecies(known weight.Table, celsius float64) error {
	t := terminal.Table{
		Head:  []string{c.Word("species-name"), c.Word("species-group"), c.Word("species-density", celsius), c.Word("species-others"), c.Word("species-from")},
		Whole: func(column int) bool { return column == 0 },
	}
	var notes []string
	for _, s := range known {
		d, err := s.Density(celsius)
		if err != nil {
			return err
		}
		t.Rows = append(t.Rows, []string{s.In(c.Tag()), s.Group, uncertainty.PlusMinus(d.X, d.Expanded(), 3), strings.Join(s.Others(), ", "), s.Source})
		if s.Note != "" {
			notes = append(notes, s.Name+": "+s.Note)
		}
	}
	_, err := io.WriteString(c.out, terminal.Fold(t.String()+"\n"+strings.Join(append(notes, c.Word("species-common")), "\n")+"\n"))
	return err
}
