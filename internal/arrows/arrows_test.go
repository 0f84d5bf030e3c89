// Package arrows holds no code: its tests state which way imports flow.
package arrows

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func deps(t *testing.T, pkg string) string {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", "netagauge/internal/"+pkg).CombinedOutput()
	if err != nil {
		t.Fatalf("go list %s: %v\n%s", pkg, err, out)
	}
	return string(out)
}

// What is pure arithmetic builds and tests without OpenCV.
func TestPurePackagesReachNoNativeCode(t *testing.T) {
	for _, pkg := range []string{"shape", "parallax", "uncertainty", "weight", "standard", "coach", "plan", "report", "chart", "grade", "printscale", "photo", "label", "intake"} {
		for _, banned := range []string{"gocv.io/x/gocv", "netagauge/internal/vision", "netagauge/internal/inspect"} {
			if strings.Contains(deps(t, pkg), banned+"\n") {
				t.Errorf("%s reaches %s", pkg, banned)
			}
		}
	}
}

// Stages meet in inspect only.
func TestStagesDoNotKnowEachOther(t *testing.T) {
	for pkg, banned := range map[string][]string{
		"segment":  {"weight", "standard", "coach", "report"},
		"mat":      {"segment", "shape", "weight", "report"},
		"weight":   {"shape", "standard", "coach", "report"},
		"standard": {"coach", "report", "weight"},
		"report":   {"standard", "coach", "weight", "mat"},
		"vision":   {"mat", "segment", "photo"},
		"serve":    {"inspect", "segment", "worker"},
		"account":  {"intake", "book", "serve"},
		"intake":   {"inspect", "worker", "serve", "account"},
		"worker":   {"serve", "account"},
		"disc":     {"inspect", "printscale", "report", "weight", "coach"},
	} {
		all := deps(t, pkg)
		for _, b := range banned {
			if strings.Contains(all, "netagauge/internal/"+b+"\n") {
				t.Errorf("%s reaches %s", pkg, b)
			}
		}
	}
}

// Only vision imports gocv, and every package says once what it is for.
func TestSources(t *testing.T) {
	docs := map[string]int{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly|parser.ParseComments)
		if err != nil {
			return err
		}
		dir := filepath.Dir(path)
		for _, i := range f.Imports {
			if i.Path.Value == `"gocv.io/x/gocv"` && filepath.Base(dir) != "vision" {
				t.Errorf("%s imports gocv; only internal/vision may", path)
			}
		}
		if strings.HasSuffix(path, "_test.go") && filepath.Base(dir) != "arrows" {
			return nil
		}
		docs[dir] += 0
		if f.Doc != nil && strings.TrimSpace(f.Doc.Text()) != "" {
			docs[dir]++
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for dir, n := range docs {
		if n != 1 {
			t.Errorf("package in %s has %d package comments, want 1", dir, n)
		}
	}
}
