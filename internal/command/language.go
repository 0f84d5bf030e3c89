package command

import (
	"strings"

	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
)

// LanguageFlag is --language, which every command has.
type LanguageFlag struct{ *phrase.Language }

// Spoken is the language that the environment asks for, by the order of POSIX
// (IEEE Std 1003.1-2017, Base Definitions, 8.2); English where it is none of ours.
func Spoken(environment func(string) string) LanguageFlag {
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if locale := environment(name); locale != "" {
			tag, _, _ := strings.Cut(locale, ".") // such as ja_JP.UTF-8
			tag, _, _ = strings.Cut(tag, "_")
			return LanguageFlag{phrase.InTag(tag)}
		}
	}
	return LanguageFlag{phrase.English()}
}

func (l *LanguageFlag) register(f *pflag.FlagSet) {
	f.Var(l, "language", "language of what is said, by its tag: "+strings.Join(languageTags(), ", ")+" (default: that of the environment, by LC_ALL, LC_MESSAGES or LANG)")
	f.Lookup("language").DefValue = "" // help is the same everywhere
}

func languageTags() (out []string) {
	for _, l := range phrase.Languages() {
		out = append(out, l.Tag())
	}
	return out
}

// Set, String and Type make it a flag's value.
func (l *LanguageFlag) Set(s string) error {
	if x := phrase.InTag(s); strings.EqualFold(x.Tag(), s) {
		l.Language = x
		return nil
	}
	return phrase.Wrong("use-choose", languageTags())
}

func (l *LanguageFlag) String() string {
	if l.Language == nil {
		return ""
	}
	return l.Tag()
}

func (l *LanguageFlag) Type() string { return "tag" }
