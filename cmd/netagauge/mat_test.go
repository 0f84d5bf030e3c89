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

func TestMat(t *testing.T) {
	dir := t.TempDir()
	for _, tc := range []struct {
		name string
		args []string
		code int
		says string // on either output
	}{
		{"a mat", []string{"-o", "a4.pdf"}, command.ExitPass, "Print it at 100 %"},
		{"labels", []string{"--size", "a3", "--label", "Tray 07", "--label", "トレイ 8", "-o", "a3.pdf"}, command.ExitPass, "a3.pdf"},
		{"unknown size", []string{"--size", "b5", "-o", "b5.pdf"}, command.ExitUsage, "choose a3, a4, letter or tabloid"},
		{"empty label", []string{"--label", "", "-o", "empty.pdf"}, command.ExitUsage, "empty"},
		{"long label", []string{"--label", strings.Repeat("魚", 11), "-o", "long.pdf"}, command.ExitUsage, "shorten it"},
		{"letter that is not there", []string{"--label", "tray \U0001F41F", "-o", "fish.pdf"}, command.ExitUsage, "no letter to print"},
		{"folder that is not there", []string{"-o", "no/such/folder.pdf"}, command.ExitUsage, "no/such/folder.pdf"},
		{"a word too many", []string{"-o", "x.pdf", "tray.jpg"}, command.ExitUsage, "tray.jpg"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Chdir(dir)
			var out, errw bytes.Buffer
			if code := run(context.Background(), append([]string{"mat"}, tc.args...), &out, &errw); code != tc.code {
				t.Errorf("exit code %d, want %d\n%s%s", code, tc.code, &out, &errw)
			}
			if !strings.Contains(out.String()+errw.String(), tc.says) {
				t.Errorf("it says\n%s%s\nwithout %q", &out, &errw, tc.says)
			}
		})
	}
	files, err := os.ReadDir(dir)
	fatal.If(t, err)
	var names []string
	for _, f := range files {
		names = append(names, f.Name())
	}
	if got := strings.Join(names, " "); got != "a3.pdf a4.pdf" {
		t.Errorf("the folder holds %q, want the two mats and nothing half-written", got)
	}
	for _, name := range names {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
			t.Errorf("%s is no PDF: %v", name, err)
		}
	}
}

// A full disk is no mistake of whoever typed the command.
func TestFullDisk(t *testing.T) {
	if said := call(t, command.ExitRefused, []string{"the disk is full; make room"}, "mat", "-o", "/dev/full"); strings.Contains(said, "--help") {
		t.Error(said)
	}
}
