package desk

import (
	"context"
	"io"

	"netagauge/calibration"
	"netagauge/internal/command"
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

// Standard writes a house standard, or says what one means.
func Standard(_ context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("standard", standardHelp, to)
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	switch f.NArg() {
	case 0:
		_, err := to.Out.Write(calibration.StandardNigiri)
		return command.ExitPass, err
	case 1:
	default:
		return command.ExitUsage, command.Misuse("use-standard-one")
	}
	s, err := standard.Load(f.Arg(0))
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	for _, says := range s.Says() {
		if _, err := io.WriteString(to.Out, terminal.Fold(report.Printable(to.Must(says))+"\n")); err != nil {
			return command.ExitRefused, err
		}
	}
	return command.ExitPass, nil
}
