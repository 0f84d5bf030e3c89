package main

import (
	"io"
	"netagauge/internal/command"
	"os"
	"slices"
	"time"
)

// graces are how long a verb may go on after it was told to stop, to end what it
// has in hand. A decoder hears nothing of being told.
const (
	grace      = 3 * time.Second
	serveGrace = 20 * time.Second
	workGrace  = leave + 10*time.Second
)

// endAfter ends the program some time after it was told to stop.
func endAfter(args []string, errw io.Writer) {
	verb, wait := args[0], grace
	switch verb {
	case "serve":
		wait = serveGrace
	case "work":
		wait = workGrace
	}
	time.Sleep(wait)
	key := "ran-ended"
	if slices.Contains([]string{"class", "line", "serve", "work"}, verb) && !slices.Contains(args, "--no-record") {
		key = "ran-ended-kept"
	}
	(&command.Caller{Err: errw, Verb: verb, LanguageFlag: command.Spoken(os.Getenv)}).Warn(key)
	os.Exit(command.ExitRefused)
}
