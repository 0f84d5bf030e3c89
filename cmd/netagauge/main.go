// Command netagauge checks slices for nigiri from one photo of a tray on a
// printed calibrated mat.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"

	"netagauge/internal/command"
	"netagauge/internal/core/textfile"
)

// verb is one command of the program. run returns the exit code; an error is
// printed by main and decides the code when run gives none. One without a short
// text is for the program itself.
type verb struct {
	name  string
	short string
	run   func(ctx context.Context, args []string, to *command.Caller) (int, error)
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	command.Guarded = true
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
	to := &command.Caller{Out: out, Err: errw, LanguageFlag: command.Spoken(os.Getenv)}
	if len(args) > 1 && (args[0] == "--version" || args[0] == "help" && len(args) > 2) {
		to.Warn("use-nothing-else", command.Quoted(args[len(args)-1]))
		return command.ExitUsage
	}
	if len(args) == 2 && args[0] == "help" {
		args = []string{args[1], "--help"}
	}
	switch {
	case len(args) == 0 || args[0] == "--help" || args[0] == "-h" || args[0] == "help":
		usage(out)
		return command.ExitPass
	case args[0] == "--version":
		fmt.Fprintln(out, "netagauge", version())
		return command.ExitPass
	}
	var known []string
	for _, v := range verbs() {
		if v.name != args[0] {
			known = append(known, v.name)
			continue
		}
		to.Verb = v.name
		code, err := v.run(ctx, args[1:], to)
		return to.Conclude(code, err)
	}
	if like := textfile.Like(args[0], known); len(like) > 0 {
		to.Warn("use-command-like", command.Quoted(args[0]), strings.Join(like, " / "))
	} else {
		to.Warn("use-no-command", command.Quoted(args[0]))
	}
	return command.ExitUsage
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
	fmt.Fprintln(w, "Exit codes: 0 all pass, 1 something fails the standard, 2 wrong usage or a file\nthat is not there, 3 a photo was refused or unreadable, or the disk is full.")
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
