package phrase

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

// Why a place may tell in English what is in no language's file.
const (
	forInspect = "what a picture lacks: inspect makes a problem of it; the rest is a mistake of the program, for its log"
	forLog     = "between the program's own processes: a line for the log"
	forMakers  = "a tool of those who make the program"
	mistake    = "only a mistake of the program: no input leads here"
	drawing    = "drawing and writing: what the file or disk lacks is told by its cause, the rest is a mistake of the program"
	help       = "help is English, as the manual page that is made from it"
)

// english are those places below internal and cmd: packages, or single files.
var english = map[string]string{
	"internal/see/disc/": forInspect, "internal/see/heif/": forInspect, "internal/see/jpeg/": forInspect, "internal/see/mat/": forInspect,
	"internal/see/parallax/": forInspect, "internal/see/photo/": forInspect, "internal/see/segment/": forInspect, "internal/see/shape/": forInspect,
	"internal/see/stereo/": forInspect, "internal/see/vision/": forInspect,
	"internal/work/sandbox/": forLog, "internal/work/record/tray.go": forLog, "internal/work/worker/": forLog,
	"cmd/coverage/": forMakers, "internal/judge/coverage/": forMakers, "internal/keep/enginetest/": forMakers, "internal/keep/historytest/": forMakers, "internal/keep/postgrestest/": forMakers, "internal/work/trial/": forMakers,
	"internal/core/phrase/": mistake, "internal/core/piece/json.go": mistake, "internal/core/table/": mistake, "internal/core/uncertainty/": mistake,
	"internal/judge/chart/": mistake, "internal/judge/plan/outline.go": mistake, "internal/judge/plan/rest.go": mistake, "internal/judge/weight/weigh.go": mistake,
	"internal/judge/weight/residual/": drawing, "internal/tell/figure/": drawing, "internal/tell/handout/": drawing, "internal/tell/matpdf/": drawing,
	"internal/tell/report/": drawing,
	"cmd/netagauge/main.go": help, "internal/command/caller.go": help,
}

// What is told to a person is told by a key: no sentence is written into the code.
// Markup is none.
func TestNothingIsToldPastThePhrasebook(t *testing.T) {
	root := "../../.."
	used := map[string]bool{}
	for _, top := range []string{"internal", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return err
			}
			short := strings.TrimPrefix(filepath.ToSlash(path), root+"/")
			for prefix := range english {
				if strings.HasPrefix(short, prefix) {
					used[prefix] = true
					return nil
				}
			}
			return sentences(path, func(line int, says string) { t.Errorf("%s:%d tells %q past the phrasebook", short, line, says) })
		})
		fatal.If(t, err)
	}
	for prefix := range english {
		if !used[prefix] {
			t.Errorf("nothing is in %q any more", prefix)
		}
	}
}

// tells are the functions of the standard library that make or write a sentence.
var tells = regexp.MustCompile(`^(fmt\.Errorf|errors\.New|fmt\.(Fp|P)rint(f|ln)?)$`)

// verb is a verb of package fmt, word what a sentence is made of.
var (
	verb = regexp.MustCompile(`%[-+# 0-9.*\[\]]*[a-zA-Z]`)
	word = regexp.MustCompile(`[A-Za-z]{2}`)
)

// sentences finds the sentences that a file's calls make or write.
func sentences(path string, found func(line int, says string)) error {
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	ast.Inspect(file, func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		f, ok := call.Fun.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		if x, ok := f.X.(*ast.Ident); !ok || !tells.MatchString(x.Name+"."+f.Sel.Name) {
			return true
		}
		for _, arg := range call.Args {
			lit, ok := arg.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				continue
			}
			if s, _ := strconv.Unquote(lit.Value); !strings.HasPrefix(strings.TrimPrefix(s, "</g>"), "<") && word.MatchString(verb.ReplaceAllString(s, "")) {
				found(files.Position(call.Pos()).Line, s)
			}
		}
		return true
	})
	return nil
}
