package phrase

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

// made are keys that are put together from a part that is written and one that is
// data: the code of a problem, the name of a measure, a state, a role.
var made = regexp.MustCompile(`^(fact|band|nav|pile|task-piled|eye-ask|eye-truth|eye-of|state|remedy|scheme|verdict|fault|over|p|r|role|source|how|species|measure|house-guard|house-most|lesson|is|mark|at|from|by|near|look|line|forget-why)-|-(title|text|field|drift|scatter|steady|from|lean|cannot)$|^wrong-(roster|standard)$`)

// Every key that the program names has words, and no words are left over.
func TestKeysAreUsed(t *testing.T) {
	named, source := keysNamed(t, "../../..")
	for key, where := range named {
		if !English().Has(key) {
			t.Errorf("%s asks for %q, and there are no such words", where, key)
		}
	}
	for key := range English().book().words {
		if !strings.Contains(source, `"`+key+`"`) && !made.MatchString(key) {
			t.Errorf("nothing uses the words of %q", key)
		}
	}
}

var inPage = regexp.MustCompile(`[({ ]t "([a-z0-9-]+)"`)

// keysNamed are the keys that programs and pages below a folder ask for by name,
// and all their source.
func keysNamed(t *testing.T, root string) (named map[string]string, source string) {
	t.Helper()
	named = map[string]string{}
	var all strings.Builder
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		kind := filepath.Ext(path)
		switch {
		case err != nil, d.IsDir() && d.Name() == ".git":
			return filepath.SkipDir
		case d.IsDir(), kind != ".go" && kind != ".html" && kind != ".js", strings.HasSuffix(path, "_test.go"):
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		all.Write(text)
		if kind == ".go" {
			return inProgram(path, text, named)
		}
		for _, m := range inPage.FindAllSubmatch(text, -1) {
			named[string(m[1])] = path
		}
		return nil
	})
	fatal.If(t, err)
	return named, all.String()
}

// kept are keys that wait in a variable until something says them.
var kept = regexp.MustCompile(`^(cure|why)-[a-z0-9-]+$`)

var isKey = regexp.MustCompile(`^[a-z0-9-]+$`)

// keyAt are the calls that take a key, and which argument it is.
var keyAt = map[string]int{"phrase.Of": 0, "phrase.Named": 0, "phrase.Wrong": 0, "phrase.Because": 1, "Word": 0, "say": 0, "Say": 0, "Warn": 0, "misuse": 0, "Misuse": 0}

// name is the name of what is called, with the package of ours where that is phrase.
func name(f ast.Expr) string {
	switch f := f.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		if x, ok := f.X.(*ast.Ident); ok && x.Name == "phrase" {
			return "phrase." + f.Sel.Name
		}
		return f.Sel.Name
	}
	return ""
}

// inProgram finds the calls that take a key, and the keys that are kept.
func inProgram(path string, text []byte, named map[string]string) error {
	file, err := parser.ParseFile(token.NewFileSet(), path, text, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if key, _ := strconv.Unquote(lit.Value); kept.MatchString(key) {
				named[key] = path
			}
		}
		call, ok := n.(*ast.CallExpr)
		if !ok || len(call.Args) == 0 {
			return true
		}
		if at, ok := keyAt[name(call.Fun)]; ok && at < len(call.Args) {
			if lit, ok := call.Args[at].(*ast.BasicLit); ok && lit.Kind == token.STRING {
				if key, _ := strconv.Unquote(lit.Value); isKey.MatchString(key) {
					named[key] = path
				}
			}
		}
		return true
	})
	return nil
}
