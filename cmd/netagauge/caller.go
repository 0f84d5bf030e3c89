package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"

	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
)

// caller is who runs a verb: where results and what goes wrong are written, and the
// language in which both are said.
type caller struct {
	out, errw io.Writer
	verb      string
	languageFlag
}

// say and warn write a line to either place.
func (c *caller) say(key string, a ...any) { fmt.Fprintln(c.out, c.Word(key, a...)) }

func (c *caller) warn(key string, a ...any) { c.warnOf(phrase.Wrong(key, a...)) }

// warnOf says what went wrong.
func (c *caller) warnOf(err error) {
	name := "netagauge"
	if c.verb != "" {
		name += " " + c.verb
	}
	fmt.Fprintf(c.errw, "%s: %s\n", name, c.Must(phrase.Telling(err)))
}

// words are those of reports in the caller's language.
func (c *caller) words() report.Words { return report.Words{Language: c.Language} }

// usageError is a mistake on the command line: the program says it and exits with
// exitUsage.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

// misuse is such a mistake, told by a key of the phrasebook.
func misuse(key string, a ...any) error { return usageError{phrase.Wrong(key, a...)} }

// quoted is what somebody typed, so that its ends are seen and it steers no terminal.
func quoted(s string) string { return strconv.Quote(s) }

// conclude is the one place that turns an error into a sentence and a code.
func (c *caller) conclude(code int, err error) int {
	var usage usageError
	switch {
	case err == nil:
		return code
	case errors.Is(err, pflag.ErrHelp):
		return exitPass
	case errors.As(err, &usage):
		c.warnOf(err)
		fmt.Fprintf(c.errw, "  %s\n", c.Word("use-help", c.verb))
		return exitUsage
	case code != exitPass:
		c.warnOf(err)
		return code
	}
	c.warnOf(err)
	return exitRefused
}

// newFlags returns a flag set that prints the verb's help, example first. Help is
// English, as the manual page that is made from it.
func newFlags(name, help string, to *caller) *pflag.FlagSet {
	f := pflag.NewFlagSet(name, pflag.ContinueOnError)
	f.SortFlags = false
	f.SetOutput(io.Discard)
	f.Usage = func() {
		fmt.Fprint(to.out, help, "\nOptions:\n")
		fmt.Fprint(to.out, f.FlagUsagesWrapped(terminal.Columns))
	}
	return f
}

// parse reads the options, --language among them. A mistake is wrong usage; a
// request for help is left alone.
func (c *caller) parse(f *pflag.FlagSet, args []string) error {
	c.register(f)
	err := f.Parse(args)
	var (
		unknown *pflag.NotExistError
		lacking *pflag.ValueRequiredError
		wrong   *pflag.InvalidValueError
		odd     *pflag.InvalidSyntaxError
	)
	switch {
	case err == nil || errors.Is(err, pflag.ErrHelp):
		return err
	case errors.As(err, &unknown):
		return misuse("use-no-option", dashed(unknown.GetSpecifiedName(), unknown.GetSpecifiedShortnames()))
	case errors.As(err, &lacking):
		return misuse("use-no-value", dashed(lacking.GetSpecifiedName(), lacking.GetSpecifiedShortnames()))
	case errors.As(err, &wrong):
		if says := (*phrase.Error)(nil); errors.As(err, &says) {
			return usageError{phrase.At("--"+wrong.GetFlag().Name, says)}
		}
		return misuse("use-wrong-value", wrong.GetFlag().Name, quoted(wrong.GetValue()))
	case errors.As(err, &odd):
		return misuse("use-no-option", odd.GetSpecifiedFlag())
	}
	return usageError{err}
}

// dashed is an option as typed: by its name, or by a letter of a group.
func dashed(name, letters string) string {
	if letters != "" {
		return "-" + name
	}
	return "--" + name
}

// nothingElse refuses what stands on the command line beside the options.
func nothingElse(f *pflag.FlagSet) error {
	if f.NArg() > 0 {
		return misuse("use-nothing-else", quoted(f.Arg(0)))
	}
	return nil
}
