package main

import (
	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every option that a command's help shows stands in the manual page and in each
// completion.
func TestManualIsWhole(t *testing.T) {
	texts := map[string]string{}
	for name, args := range map[string][]string{"manual": {"manual"}, "bash": {"completion", "bash"}, "zsh": {"completion", "zsh"}, "fish": {"completion", "fish"}} {
		code, out, errs := netagauge(args...)
		if code != command.ExitPass {
			t.Fatalf("%v: exit code %d: %s", args, code, errs)
		}
		texts[name] = out
	}
	shown := regexp.MustCompile(`(?m)^ +(?:-\w, )?--([a-z-]+)`)
	for _, v := range verbs() {
		if v.short == "" {
			continue
		}
		_, help, _ := netagauge(v.name, "--help")
		for _, m := range shown.FindAllStringSubmatch(help, -1) {
			for name, want := range map[string]string{
				"manual": `\-\-` + strings.ReplaceAll(m[1], "-", `\-`) + `\fR`, "bash": "--" + m[1] + " ",
				"zsh": "'--" + m[1] + "[", "fish": "from " + v.name + "' -l " + m[1] + " ",
			} {
				if v.name == "completion" && name == "zsh" {
					continue // it completes the shells' names there
				}
				if !strings.Contains(texts[name], want) {
					t.Errorf("%s: no %s of %s", name, m[1], v.name)
				}
			}
		}
	}
}

// bash completes commands, options and files by what was written for it.
func TestBashCompletes(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no bash here")
	}
	_, script, _ := netagauge("completion", "bash")
	dir := t.TempDir()
	fatal.If(t, os.WriteFile(filepath.Join(dir, "tray.jpg"), nil, 0o600))
	for words, want := range map[string]string{
		"netagauge che": "check", "netagauge help pro": "profile", "netagauge check --thick": "--thickness",
		"netagauge completion fi": "fish", "netagauge check tr": "tray.jpg",
	} {
		c := exec.Command(bash, "-c", script+"\nCOMP_WORDS=("+words+"); COMP_CWORD=$((${#COMP_WORDS[@]}-1)); _netagauge; echo \"${COMPREPLY[@]}\"")
		c.Dir = dir
		out, err := c.CombinedOutput()
		if got := strings.TrimSpace(string(out)); err != nil || got != want {
			t.Errorf("%s completes to %q, want %q (%v)", words, got, want, err)
		}
	}
}

// A command that only the package uses stays out of the help page; a shell that is
// not known is wrong usage.
func TestManualUsage(t *testing.T) {
	if _, out, _ := netagauge("--help"); strings.Contains(out, "manual") {
		t.Error("the help page shows the command manual")
	}
	if code, _, errs := netagauge("completion", "tcsh"); code != command.ExitUsage || !strings.Contains(errs, "bash, zsh or fish") {
		t.Errorf("tcsh: exit code %d: %s", code, errs)
	}
}
