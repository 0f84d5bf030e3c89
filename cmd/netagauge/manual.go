package main

import (
	"bytes"
	"context"
	_ "embed"
	"io"
	"regexp"
	"slices"
	"strings"
	"text/template"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
)

const completionHelp = `Write what lets a shell complete commands, options and file names.

  netagauge completion bash >> ~/.bash_completion
  netagauge completion zsh > ~/.zfunc/_netagauge
  netagauge completion fish > ~/.config/fish/completions/netagauge.fish

The package for Debian and Ubuntu installs all three.
`

const manualHelp = `Write the manual page, for the package.

  netagauge manual
`

//go:embed manual.tmpl
var manualSource string

// manuals are the manual page and the completions, each a template over pages.
func manuals() *template.Template {
	return template.Must(template.New("").Funcs(template.FuncMap{
		"roff": roff, "upper": strings.ToUpper, "line": singleQuoted, "version": version,
	}).Parse(manualSource))
}

// page is what the help of one command says.
type page struct {
	Name, Short string
	Lines       []string // the text before the options
	Options     []option
}

type option struct {
	Letter, Name, Kind, Usage string // Letter and Kind (of its value) may be empty
}

// optionLine is a line that pflag prints of an option; pages are read back from
// the help itself, so that the two cannot differ.
var optionLine = regexp.MustCompile(`^ +(?:-(\w), )?--([a-z0-9-]+)(?:\[=\S+\])?(?: (\w+))?\s{2,}(.*)$`)

func pageOf(ctx context.Context, v verb) page {
	var help bytes.Buffer
	_, _ = v.run(ctx, []string{"--help"}, &command.Caller{Out: &help, LanguageFlag: command.LanguageFlag{Language: phrase.English()}}) // a request for help is its only error
	text, options, _ := strings.Cut(help.String(), "\nOptions:\n")
	p := page{Name: v.name, Short: v.short, Lines: strings.Split(strings.TrimSpace(text), "\n")}
	for line := range strings.Lines(options) {
		line = strings.TrimRight(line, "\n")
		if m := optionLine.FindStringSubmatch(line); m != nil {
			p.Options = append(p.Options, option{m[1], m[2], m[3], m[4]})
		} else if n := len(p.Options); n > 0 {
			p.Options[n-1].Usage += " " + strings.TrimSpace(line)
		}
	}
	return p
}

// writeManual writes the template of this name over every command that people use.
func writeManual(ctx context.Context, name string, out io.Writer) error {
	var pages []page
	for _, v := range verbs() {
		if v.short != "" {
			pages = append(pages, pageOf(ctx, v))
		}
	}
	return manuals().ExecuteTemplate(out, name, pages)
}

func runCompletion(ctx context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("completion", completionHelp, to)
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	if f.NArg() != 1 || !slices.Contains([]string{"bash", "zsh", "fish"}, f.Arg(0)) {
		return command.ExitUsage, command.Misuse("use-shell")
	}
	return command.ExitPass, writeManual(ctx, f.Arg(0), to.Out)
}

func runManual(ctx context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("manual", manualHelp, to)
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	return command.ExitPass, writeManual(ctx, "man", to.Out)
}

// roff escapes a line of text for man(7).
func roff(line string) string {
	line = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(line)
	if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
		line = `\&` + line
	}
	return line
}

// singleQuoted escapes text between single quotes for fish, and for zsh, which
// reads brackets and colons in what it is told of an option.
func singleQuoted(shell, text string) string {
	if shell == "fish" {
		return strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(text)
	}
	return strings.NewReplacer(`'`, `'\''`, "[", `\[`, "]", `\]`, ":", `\:`).Replace(text)
}
