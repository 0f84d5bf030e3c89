// Package command is what all commands share: who called, with which options and in
// which language, the files that are named, the exit codes, and what measures behind a
// sandbox. Its rooms are the commands of the bench and those of the record book.
package command

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"strconv"
	"strings"
	"syscall"

	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
)

// Caller is who runs a verb: where results and what goes wrong are written, and the
// language in which both are said.
type Caller struct {
	Out, Err io.Writer
	Verb     string
	LanguageFlag
}

// Say writes a line of what was found.
func (c *Caller) Say(key string, a ...any) { fmt.Fprintln(c.Out, c.Word(key, a...)) }

// Warn writes a line of what went wrong.
func (c *Caller) Warn(key string, a ...any) { c.WarnOf(phrase.Wrong(key, a...)) }

// WarnOf says what went wrong.
func (c *Caller) WarnOf(err error) {
	name := "netagauge"
	if c.Verb != "" {
		name += " " + c.Verb
	}
	fmt.Fprintf(c.Err, "%s: %s\n", name, c.Must(phrase.Telling(err)))
}

// Words are those of reports in the caller's language.
func (c *Caller) Words() report.Words { return report.Words{Language: c.Language} }

// Quietly logs what somebody should know who looks after the computer.
func (c *Caller) Quietly() *slog.Logger {
	return slog.New(slog.NewTextHandler(c.Err, &slog.HandlerOptions{Level: slog.LevelWarn}))
}

// usageError is a mistake on the command line: the program says it and exits with
// ExitUsage.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

// Misuse is such a mistake, told by a key of the phrasebook.
func Misuse(key string, a ...any) error { return usageError{phrase.Wrong(key, a...)} }

// MisuseOf is such a mistake, told by an error.
func MisuseOf(err error) error { return usageError{err} }

// Quoted is what somebody typed, so that its ends are seen and it steers no terminal.
func Quoted(s string) string { return strconv.Quote(s) }

// Conclude is the one place that turns an error into a sentence and a code.
func (c *Caller) Conclude(code int, err error) int {
	var usage usageError
	switch {
	case err == nil:
		return code
	case errors.Is(err, pflag.ErrHelp):
		return ExitPass
	case errors.Is(err, syscall.ENOSPC): // which nobody typed
		c.WarnOf(err)
		return ExitRefused
	case errors.As(err, &usage):
		c.WarnOf(err)
		fmt.Fprintf(c.Err, "  %s\n", c.Word("use-help", c.Verb))
		return ExitUsage
	case code != ExitPass:
		c.WarnOf(err)
		return code
	}
	c.WarnOf(err)
	return ExitRefused
}

// NewFlags returns a flag set that prints the verb's help, example first. Help is
// English, as the manual page that is made from it.
func NewFlags(name, help string, to *Caller) *pflag.FlagSet {
	f := pflag.NewFlagSet(name, pflag.ContinueOnError)
	f.SortFlags = false
	f.SetOutput(io.Discard)
	f.Usage = func() {
		fmt.Fprint(to.Out, help, "\nOptions:\n")
		fmt.Fprint(to.Out, f.FlagUsagesWrapped(terminal.Columns))
	}
	return f
}

// Parse reads the options, --language among them. A mistake is wrong usage; a
// request for help is left alone.
func (c *Caller) Parse(f *pflag.FlagSet, args []string) error {
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
		return noOption(f, unknown)
	case errors.As(err, &lacking):
		return Misuse("use-no-value", dashed(lacking.GetSpecifiedName(), lacking.GetSpecifiedShortnames()))
	case errors.As(err, &wrong):
		if says := (*phrase.Error)(nil); errors.As(err, &says) {
			return usageError{phrase.At("--"+wrong.GetFlag().Name, says)}
		}
		return Misuse("use-wrong-value", wrong.GetFlag().Name, Quoted(wrong.GetValue()))
	case errors.As(err, &odd):
		return Misuse("use-no-option", odd.GetSpecifiedFlag())
	}
	return usageError{err}
}

// noOption offers the options that may have been meant, also by a single dash before a
// whole name.
func noOption(f *pflag.FlagSet, unknown *pflag.NotExistError) error {
	name, letters := unknown.GetSpecifiedName(), unknown.GetSpecifiedShortnames()
	var known []string
	f.VisitAll(func(o *pflag.Flag) { known = append(known, o.Name) })
	like := textfile.Like(cmp.Or(letters, name), known)
	if len(like) == 0 {
		return Misuse("use-no-option", dashed(name, letters))
	}
	return Misuse("use-option-like", dashed(name, letters), "--"+strings.Join(like, " / --"))
}

// dashed is an option as typed: by its name, or by a letter of a group.
func dashed(name, letters string) string {
	if letters != "" {
		return "-" + name
	}
	return "--" + name
}

// ParseOptions is Parse for a command that takes options and nothing beside them.
func (c *Caller) ParseOptions(f *pflag.FlagSet, args []string) error {
	if err := c.Parse(f, args); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return Misuse("use-nothing-else", Quoted(f.Arg(0)))
	}
	return nil
}
