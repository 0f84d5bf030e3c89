package main

import (
	"bytes"
	"context"
	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestSpecies(t *testing.T) {
	own := filepath.Join(t.TempDir(), "own.toml")
	text := "[[species]]\nname = \"sayori\"\ngroup = \"white\"\nsource = \"our own\"\nwater = 79\nprotein = 19\nfat = 1\nash = 1\n"
	fatal.If(t, os.WriteFile(own, []byte(text), 0o600))
	bad := filepath.Join(t.TempDir(), "bad.toml")
	fatal.If(t, os.WriteFile(bad, []byte(text+"salt = 2\n"), 0o600))
	for _, c := range []struct {
		args string
		code int
		want string // in the output, or in what is said of the mistake
	}{
		{"species", command.ExitPass, "bluefin tuna"},
		{"species maguro", command.ExitPass, "1.064 ±"},
		{"species maguro --temperature 20", command.ExitPass, "1.061 ±"},
		{"species sayori --species-file " + own, command.ExitPass, "our own"},
		{"species --help", command.ExitPass, "netagauge species maguro"},
		{"species salmn", command.ExitUsage, `"salmon"`},
		{"species --temperature 60", command.ExitUsage, "0 to 40"},
		{"species --temperature NaN", command.ExitUsage, "0 to 40"},
		{"species --temperature warm", command.ExitUsage, "warm"},
		{"species --species-file none.toml", command.ExitUsage, "none.toml"},
		{"species --species-file " + bad, command.ExitUsage, "line 9: nothing here is called species.salt"},
		{"species --colour red", command.ExitUsage, "colour"},
	} {
		var out, errs bytes.Buffer
		code := run(context.Background(), strings.Fields(c.args), &out, &errs)
		if code != c.code || !strings.Contains(out.String()+errs.String(), c.want) {
			t.Errorf("netagauge %s: exit %d, want %d and %q in:\n%s%s", c.args, code, c.code, c.want, out.String(), errs.String())
		}
	}
}
