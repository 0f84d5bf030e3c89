package main

import (
	"bytes"
	"netagauge/internal/command"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestAcceptVerb(t *testing.T) {
	sheet := filepath.Join(t.TempDir(), "shapes.pdf")
	tray := file(t, "tray.jpg", samplePhoto(t))
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"--shapes", sheet, "--size", "A4"}, command.ExitPass, "shapes.pdf"},
		{[]string{"--shapes", sheet, tray}, command.ExitUsage, "without it"},
		{[]string{tray, "--bar", "50"}, command.ExitUsage, "50 mm"},
		{[]string{tray, "--area-limit", "0"}, command.ExitUsage, "more than nothing"},
		{nil, command.ExitUsage, "one photo"},
		{[]string{tray}, command.ExitRefused, "card"}, // a tray of fish, without card or shapes
	} {
		if code, out, said := netagauge(append([]string{"accept"}, c.args...)...); code != c.code || !strings.Contains(out+said, c.want) {
			t.Errorf("accept %q: exit code %d, %s%s; want %d with %q", c.args, code, out, said, c.code, c.want)
		}
	}
	if data, err := os.ReadFile(sheet); err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
		t.Errorf("no sheet was written: %v", err)
	}
}
