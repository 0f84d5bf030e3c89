// Command netagauge checks slices for nigiri from one photo of a tray on a
// printed calibrated mat.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"github.com/spf13/pflag"

	"netagauge/internal/tell/terminal"
)

// Exit codes, a contract with scripts; README.md lists them.
const (
	exitPass    = 0 // everything measured passes
	exitFails   = 1 // measured, something fails the standard
	exitUsage   = 2 // wrong usage
	exitRefused = 3 // a photo was refused or unreadable
)

// verb is one command of the program. run returns the exit code; an error is
// printed by main and decides the code when run gives none. One without a short
// text is for the program itself.
type verb struct {
	name  string
	short string
	run   func(ctx context.Context, args []string, out, errw io.Writer) (int, error)
}

// usageError is a mistake on the command line: main prints it and exits with
// exitUsage.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

func usagef(format string, a ...any) error { return usageError{fmt.Errorf(format, a...)} }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	guarded = true
	context.AfterFunc(ctx, func() {
		stop() // a second Ctrl-C ends the program at once
		if len(os.Args) > 1 {
			endAfter(os.Args[1:], os.Stderr)
		}
	})
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	os.Exit(code)
}

func run(ctx context.Context, args []string, out, errw io.Writer) int {
	if len(args) > 1 && (args[0] == "--version" || args[0] == "help" && len(args) > 2) {
		fmt.Fprintf(errw, "netagauge: there is nothing to do with %q\n", args[len(args)-1])
		return exitUsage
	}
	if len(args) == 2 && args[0] == "help" {
		args = []string{args[1], "--help"}
	}
	switch {
	case len(args) == 0 || args[0] == "--help" || args[0] == "-h" || args[0] == "help":
		usage(out)
		return exitPass
	case args[0] == "--version":
		fmt.Fprintln(out, "netagauge", version())
		return exitPass
	}
	for _, v := range verbs() {
		if v.name != args[0] {
			continue
		}
		code, err := v.run(ctx, args[1:], out, errw)
		return conclude(code, err, v, errw)
	}
	fmt.Fprintf(errw, "netagauge: there is no command %q; netagauge --help lists them\n", args[0])
	return exitUsage
}

// conclude is the one place that turns an error into a sentence and a code.
func conclude(code int, err error, v verb, errw io.Writer) int {
	var usage usageError
	switch {
	case err == nil:
		return code
	case errors.Is(err, pflag.ErrHelp):
		return exitPass
	case errors.As(err, &usage):
		fmt.Fprintf(errw, "netagauge %s: %v\n  netagauge %s --help shows how\n", v.name, err, v.name)
		return exitUsage
	default:
		fmt.Fprintf(errw, "netagauge %s: %v\n", v.name, err)
		if code != exitPass {
			return code
		}
		return exitRefused
	}
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "netagauge measures slices for nigiri from one photo of a tray on its printed\nmat.")
	fmt.Fprintln(w, "\nCommands:")
	for _, v := range verbs() {
		if v.short != "" {
			fmt.Fprintf(w, "  %-10s %s\n", v.name, v.short)
		}
	}
	fmt.Fprintln(w, "\nnetagauge help COMMAND explains one, with examples; --version names this build.")
	fmt.Fprintln(w, "Exit codes: 0 all pass, 1 something fails the standard, 2 wrong usage or a file\nthat is not there, 3 a photo was refused or unreadable.")
}

// version is what the build was told (-ldflags "-X main.release=1.2"), else the
// commit it was built from.
func version() string {
	if release != "" {
		return release
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		return info.Main.Version
	}
	return "unknown"
}

var release string

// nothingElse refuses what stands on the command line beside the options.
func nothingElse(f *pflag.FlagSet) error {
	if f.NArg() > 0 {
		return usagef("there is nothing to do with %q", f.Arg(0))
	}
	return nil
}

// newFlags returns a flag set that prints the verb's help, example first.
func newFlags(name, help string, out io.Writer) *pflag.FlagSet {
	f := pflag.NewFlagSet(name, pflag.ContinueOnError)
	f.SortFlags = false
	f.SetOutput(io.Discard)
	f.Usage = func() {
		fmt.Fprint(out, help, "\nOptions:\n")
		fmt.Fprint(out, f.FlagUsagesWrapped(terminal.Columns))
	}
	return f
}

// parse wraps a flag mistake as wrong usage and leaves a help request alone.
func parse(f *pflag.FlagSet, args []string) error {
	err := f.Parse(args)
	if err == nil || errors.Is(err, pflag.ErrHelp) {
		return err
	}
	return usageError{err}
}
