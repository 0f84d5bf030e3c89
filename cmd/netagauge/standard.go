package main

import (
	"context"
	"io"

	"netagauge/calibration"
	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
)

const standardHelp = `Write a house standard to change, or check one and say what it means.

  netagauge standard > house.toml
  netagauge standard house.toml
  netagauge check tray.jpg --standard house.toml

The first writes the built-in standard with a comment beside every line: change
what differs, drop the rest; what a file leaves out keeps the built-in value.

Exit codes: 0 written or sound, 2 wrong usage or a mistake in the file.
`

func runStandard(_ context.Context, args []string, to *caller) (int, error) {
	f := newFlags("standard", standardHelp, to)
	if err := to.parse(f, args); err != nil {
		return exitUsage, err
	}
	switch f.NArg() {
	case 0:
		_, err := to.out.Write(calibration.StandardNigiri)
		return exitPass, err
	case 1:
	default:
		return exitUsage, misuse("use-standard-one")
	}
	s, err := standard.Load(f.Arg(0))
	if err != nil {
		return exitUsage, usageError{err}
	}
	for _, says := range s.Says() {
		if _, err := io.WriteString(to.out, terminal.Fold(report.Printable(to.Must(says))+"\n")); err != nil {
			return exitRefused, err
		}
	}
	return exitPass, nil
}
