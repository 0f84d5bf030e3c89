// Package arrows holds no code: its tests state which way imports flow.
package arrows

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
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
	for _, pkg := range []string{"see/shape", "see/fan", "see/parallax", "core/uncertainty", "core/solid", "judge/weight", "judge/standard", "judge/coach", "judge/plan", "tell/report", "judge/chart", "judge/grade", "judge/evidence", "judge/exam", "judge/hand", "see/printscale", "see/photo", "see/label", "keep/intake", "keep/backup"} {
		for _, banned := range []string{"gocv.io/x/gocv", "netagauge/internal/see/vision", "netagauge/internal/work/inspect"} {
			if strings.Contains(deps(t, pkg), banned+"\n") {
				t.Errorf("%s reaches %s", pkg, banned)
			}
		}
	}
}

// Stages meet in inspect only.
func TestStagesDoNotKnowEachOther(t *testing.T) {
	for pkg, banned := range map[string][]string{
		"see/segment":    {"judge/weight", "judge/standard", "judge/coach", "tell/report"},
		"see/mat":        {"see/segment", "see/shape", "judge/weight", "tell/report"},
		"judge/weight":   {"see/shape", "judge/standard", "judge/coach", "tell/report"},
		"judge/standard": {"judge/coach", "tell/report", "judge/weight"},
		"tell/report":    {"judge/standard", "judge/coach", "judge/weight", "see/mat"},
		"see/vision":     {"see/mat", "see/segment", "see/photo"},
		"serve":          {"work/inspect", "see/segment", "work/worker"},
		"keep/account":   {"keep/intake", "keep/book", "serve"},
		"keep/intake":    {"work/inspect", "work/worker", "serve", "keep/account"},
		"work/worker":    {"serve", "keep/account"},
		"see/disc":       {"work/inspect", "see/printscale", "tell/report", "judge/weight", "judge/coach"},
	} {
		all := deps(t, pkg)
		for _, b := range banned {
			if strings.Contains(all, "netagauge/internal/"+b+"\n") {
				t.Errorf("%s reaches %s", pkg, b)
			}
		}
	}
}

// The wings, from what all stand on to what people meet: a wing imports only
// those before it.
var wings = []string{"core", "see", "judge", "keep", "tell", "work", "serve", "command"}

func TestWingsFaceOneWay(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "netagauge/internal/...").CombinedOutput()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, out)
	}
	for line := range strings.Lines(strings.ReplaceAll(string(out), "netagauge/internal/", "")) {
		from, to, _ := strings.Cut(strings.TrimSpace(line), " ")
		for _, imported := range strings.Fields(to) {
			a, b := wing(from), wing(imported)
			if a >= 0 && b > a {
				t.Errorf("%s imports %s, a wing that comes after it", from, imported)
			}
		}
	}
}

func wing(pkg string) int {
	w, _, _ := strings.Cut(pkg, "/")
	return slices.Index(wings, w)
}

// Only vision imports gocv, native code is called in three rooms, and every package says once what it is for.
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
				t.Errorf("%s imports gocv; only internal/see/vision may", path)
			}
			if i.Path.Value == `"C"` && !slices.Contains([]string{"vision", "jpeg", "heif"}, filepath.Base(dir)) {
				t.Errorf("%s calls C; only what sees may, in the rooms for that", path)
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
	fatal.If(t, err)
	for dir, n := range docs {
		if n != 1 {
			t.Errorf("package in %s has %d package comments, want 1", dir, n)
		}
	}
}
