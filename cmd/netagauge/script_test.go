package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"netagauge/internal/keep/postgrestest"
	"netagauge/testdata/photos"
)

// TestMain lets the test binary stand in for the program, so that the scripts
// run it as a process of its own.
func TestMain(m *testing.M) {
	testscript.Main(inEnglish{m}, map[string]func(){"netagauge": main})
}

// inEnglish runs the tests in the language of what they look for; a script sets its own.
type inEnglish struct{ *testing.M }

func (m inEnglish) Run() int {
	os.Setenv("LC_ALL", "C")
	code := m.M.Run()
	if err := postgrestest.Stop(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	return code
}

// The scripts in testdata/script hold the program to its exit codes, its words
// and the files it leaves, run as a person runs it. Each finds tray.jpg, a
// sample photo, and first.jpg and again.jpg of one tray in its folder.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:   "testdata/script",
		Setup: scriptFolder,
		Cmds:  map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "bytes": writeBytes, "files": files},
	})
}

func scriptFolder(env *testscript.Env) error {
	data, err := photos.Files.ReadFile("tray-a4.jpg")
	if err != nil {
		return err
	}
	env.Setenv("XDG_CONFIG_HOME", filepath.Join(env.WorkDir, ".config"))
	env.Setenv("HOME", env.WorkDir)
	for name, of := range map[string]string{"first.jpg": "koba.jpg", "again.jpg": "koba.b.jpg"} {
		pair, err := os.ReadFile(filepath.Join("..", "..", "testdata", "pairs", of))
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(env.WorkDir, name), pair, 0o600); err != nil {
			return err
		}
	}
	return os.WriteFile(filepath.Join(env.WorkDir, "tray.jpg"), data, 0o600)
}

// exits CODE COMMAND…: the command must end by itself with this exit code; one
// killed by a signal, as by an OpenCV exception, has none.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND ARG…")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := 0
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		code = ended.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(code) != args[0] {
		ts.Fatalf("exit code %d, want %s (-1 is a signal)", code, args[0])
	}
}

// bytes FILE QUOTED: writes a Go string literal's bytes to a file.
func writeBytes(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: bytes FILE QUOTED")
	}
	s, err := strconv.Unquote(`"` + args[1] + `"`)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(s), 0o600))
}

// files FOLDER NAME…: the folder must hold these files and no others.
func files(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: files FOLDER NAME…")
	}
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	wanted := map[string]bool{}
	for _, n := range args[1:] {
		wanted[n] = true
	}
	for _, e := range entries {
		if !wanted[e.Name()] {
			ts.Fatalf("%s is left in %s", e.Name(), args[0])
		}
		delete(wanted, e.Name())
	}
	for n := range wanted {
		ts.Fatalf("%s is missing from %s", n, args[0])
	}
}
