package desk

import (
	"context"
	"io"
	"strings"

	"netagauge/internal/command"
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

// Species lists the species whose density is known.
func Species(_ context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("species", speciesHelp, to)
	celsius := f.Float64("temperature", weight.ColdHeld, "temperature of the fish in °C")
	file := f.String("species-file", "", "species of your own, a TOML file like calibration/species.toml")
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	if err := weight.CheckTemperature(*celsius); err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	table, err := speciesTable(*file)
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	if f.NArg() > 0 {
		if table, err = pick(table, f.Args()); err != nil {
			return command.ExitUsage, command.MisuseOf(err)
		}
	}
	if err := listSpecies(table, *celsius, to); err != nil {
		return command.ExitRefused, err
	}
	return command.ExitPass, nil
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

func listSpecies(known weight.Table, celsius float64, c *command.Caller) error {
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
	_, err := io.WriteString(c.Out, terminal.Fold(t.String()+"\n"+strings.Join(append(notes, c.Word("species-common")), "\n")+"\n"))
	return err
}
