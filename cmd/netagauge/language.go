package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/report"
)

// english is what commands without --language say.
var english = report.Words{Language: phrase.English()}

// languageFlag is --language, on commands that write for others to read.
type languageFlag struct{ *phrase.Language }

func (l *languageFlag) register(f *pflag.FlagSet) {
	l.Language = phrase.English()
	f.Var(l, "language", "language of what is written, by its tag: "+strings.Join(languageTags(), ", "))
}

func languageTags() (out []string) {
	for _, l := range phrase.Languages() {
		out = append(out, l.Tag())
	}
	return out
}

// Set, String and Type make it a flag's value.
func (l *languageFlag) Set(s string) error {
	if x := phrase.InTag(s); strings.EqualFold(x.Tag(), s) {
		l.Language = x
		return nil
	}
	return fmt.Errorf("choose one of %s", strings.Join(languageTags(), ", "))
}

func (l *languageFlag) String() string {
	if l.Language == nil {
		return ""
	}
	return l.Tag()
}

func (l *languageFlag) Type() string { return "tag" }
