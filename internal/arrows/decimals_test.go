package arrows

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// What steers a measurement has a name or a reason: a decimal in see, judge and inspect is a
// constant, or has a comment on its line or above it, or stands in a function whose doc
// names a source with its year. 0, halves, 1 and 2 are arithmetic; what is tiny or vast
// guards a division or a search.
func TestDecimalsHaveNamesOrReasons(t *testing.T) {
	for _, root := range []string{"../see", "../judge", "../work/inspect"} {
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.HasSuffix(filepath.Dir(path), "test") {
				return err
			}
			found, err := decimals(path, nil)
			for _, x := range found {
				t.Errorf("%s steers without a name or a reason", x)
			}
			return err
		})
		if err != nil {
			t.Error(err)
		}
	}
}

// The rule itself: what it lets pass and what it finds.
func TestDecimalsAreFound(t *testing.T) {
	source := `package p
const named = 0.37 // why
var also = f(0.37)
func f(x float64) float64 { return 0.37 * x }
func g(x float64) float64 { return 0.37 * x } // why
func h(x float64) float64 {
	// why
	y := 0.37 * x
	return y + 0.5 + 2.0*y - 1.0 + 1e-9 + 1e6 + 0.25
}
// k is Keys's (1981).
func k(x float64) float64 { return 2.5 * x }
// l is ours.
func l(x float64) float64 {
	return 2.5 * x
}
`
	found, err := decimals("p.go", source)
	if got := strings.Join(found, " "); err != nil || got != "p.go:4: 0.37 p.go:9: 0.25 p.go:15: 2.5" {
		t.Errorf("%s, %v", got, err)
	}
}

var year = regexp.MustCompile(`\b(1[6-9]|20)\d\d\b`)

// decimals are the places of a file's decimals that have neither.
func decimals(path string, source any) (found []string, err error) {
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, source, parser.ParseComments)
	if err != nil {
		return nil, err
	}
	commented := map[int]bool{}
	for _, c := range file.Comments {
		for l := set.Position(c.Pos()).Line; l <= set.Position(c.End()).Line; l++ {
			commented[l] = true
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GenDecl:
			return false
		case *ast.FuncDecl:
			return !year.MatchString(n.Doc.Text())
		case *ast.BasicLit:
			line := set.Position(n.Pos()).Line
			if n.Kind == token.FLOAT && !arithmetic(n.Value) && !commented[line] && !commented[line-1] {
				found = append(found, fmt.Sprintf("%s:%d: %s", path, line, n.Value))
			}
		}
		return true
	})
	return found, nil
}

func arithmetic(literal string) bool {
	switch x, _ := strconv.ParseFloat(literal, 64); {
	case x == 0, x == 0.5, x == 1, x == 2, x <= 1e-6, x >= 1e6:
		return true
	}
	return false
}
