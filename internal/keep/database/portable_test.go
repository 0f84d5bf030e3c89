package database_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

// Statements are written once for every engine. Elsewhere is what has to do with SQLite's
// files themselves, or changes tables of the time when there was nothing else.
var elsewhere = []string{"../intake/backup.go", "../intake/restore.go", "../book/oldticket.go"}

// notPortable are the words that only one engine knows, or that each takes in its own way.
var notPortable = map[string]*regexp.Regexp{
	"a placeholder other than $1, $2 …":                     regexp.MustCompile(`\?|[(, =][:@][a-z]`),
	"a function of one engine's":                            regexp.MustCompile(`(?i)\b(json_|jsonb|group_concat|string_agg|strftime|datetime|julianday|ifnull|iif|total|last_insert_rowid|to_char|now|random)\w*\(`),
	"the hidden row number":                                 regexp.MustCompile(`(?i)\b(rowid|oid|ctid)\b`),
	"IS with a value, not NULL: use IS [NOT] DISTINCT FROM": regexp.MustCompile(`(?i)\bIS\b`),
	"a conflict whose columns are not named":                regexp.MustCompile(`(?i)\bON CONFLICT (DO|ON)\b`),
	"INSERT OR …, REPLACE":                                  regexp.MustCompile(`(?i)\b(INSERT OR|REPLACE INTO)\b`),
	"an INSERT whose columns are not named":                 regexp.MustCompile(`(?i)\bINSERT INTO \w+ (VALUES|SELECT)\b`),
	"LIKE and GLOB, which see case differently":             regexp.MustCompile(`(?i)\b(I?LIKE|GLOB|SIMILAR)\b`),
	"an order of NULLs or a collation of its own":           regexp.MustCompile(`(?i)\b(NULLS (FIRST|LAST)|COLLATE)\b`),
	"a sum of conditions: use count(*) FILTER (WHERE …)":    regexp.MustCompile(`(?i)\bsum\([^)]*[=<>]`),
	"LIMIT -1":                            regexp.MustCompile(`(?i)\bLIMIT -`),
	"a cast or an array of PostgreSQL's":  regexp.MustCompile(`::|\bANY\(|\bARRAY\[`),
	"one engine's own tables or settings": regexp.MustCompile(`(?i)\b(sqlite_|pg_|PRAGMA|VACUUM|information_schema)`),
	"a row lock, which SQLite has not and SERIALIZABLE needs not": regexp.MustCompile(`(?i)\bFOR (UPDATE|SHARE)\b`),
}

var whole = regexp.MustCompile(`^\s*(SELECT|INSERT|UPDATE|DELETE|WITH)\b`)

var statement = regexp.MustCompile(`\b(SELECT|INSERT INTO|UPDATE \w+ SET|DELETE FROM|WHERE|ORDER BY|VALUES \(|ON CONFLICT)\b|\$\d`)

func TestStatementsArePortable(t *testing.T) {
	seen := 0
	for _, dir := range []string{"../book", "../intake", "../account", "../settings", "../organisation"} {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no source in %s: %v", dir, err)
		}
		for _, path := range files {
			if strings.HasSuffix(path, "_test.go") || slices.Contains(elsewhere, filepath.ToSlash(path)) {
				continue
			}
			set := token.NewFileSet()
			source, err := parser.ParseFile(set, path, nil, 0)
			fatal.If(t, err)
			ast.Inspect(source, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.SelectorExpr:
					if n.Sel.Name == "LastInsertId" {
						t.Errorf("%s: LastInsertId is SQLite's alone: use RETURNING", set.Position(n.Pos()))
					}
				case *ast.BasicLit:
					text, err := strconv.Unquote(n.Value)
					if n.Kind != token.STRING || err != nil || !statement.MatchString(text) {
						return true
					}
					seen++
					for _, why := range faults(text) {
						t.Errorf("%s: %s in %q", set.Position(n.Pos()), why, text)
					}
				}
				return true
			})
		}
	}
	if seen < 100 {
		t.Errorf("only %d statements were read: the test has lost them", seen)
	}
}

// faults are what keeps a statement from any engine.
func faults(text string) (out []string) {
	quoted := regexp.MustCompile(`'[^']*'`).ReplaceAllString(text, "''")
	quoted = regexp.MustCompile(`(?i)\bIS (NOT )?(NULL|DISTINCT FROM)\b`).ReplaceAllString(quoted, "=")
	for why, found := range notPortable {
		if found.MatchString(quoted) {
			out = append(out, why)
		}
	}
	// SQLite gives $1 the place of its first appearance, whatever its number. A text that
	// is put behind another goes on where that ends.
	next := 0
	if whole.MatchString(quoted) {
		next = 1
	}
	for _, m := range regexp.MustCompile(`\$(\d+)`).FindAllStringSubmatch(quoted, -1) {
		n, _ := strconv.Atoi(m[1])
		if next == 0 {
			next = n
		}
		if n > next {
			out = append(out, fmt.Sprintf("$%d before $%d", n, next))
		}
		if n == next {
			next++
		}
	}
	return out
}

// The test can fail.
func TestFaultsAreFound(t *testing.T) {
	for text, n := range map[string]int{
		`SELECT id FROM result WHERE id = ?`:                                   1,
		`INSERT INTO result (id) VALUES (:id)`:                                 1,
		`SELECT value FROM json_each($1)`:                                      1,
		`SELECT 1 FROM a ORDER BY rowid`:                                       1,
		`SELECT 1 WHERE a IS NOT (SELECT 2)`:                                   1,
		`SELECT 1 WHERE a.b IS NOT c.d`:                                        1,
		`SELECT 1 WHERE a IS NOT NULL AND b IS NULL AND c IS DISTINCT FROM $1`: 0,
		`INSERT INTO a (b) VALUES ($1) ON CONFLICT DO NOTHING`:                 1,
		`INSERT INTO a (b) VALUES ($1) ON CONFLICT (b) DO NOTHING`:             0,
		`INSERT OR IGNORE INTO a (b) VALUES ($1)`:                              1,
		`INSERT INTO a VALUES ($1)`:                                            1,
		`SELECT 1 WHERE a LIKE 'x'`:                                            1,
		`SELECT sum(owner = $1) FROM shot`:                                     1,
		`UPDATE a SET b = $2 WHERE c = $1`:                                     1,
		`UPDATE a SET b = $1 WHERE c = $2 AND d = $1`:                          0,
		`AND e = $4`: 0,
		`SELECT a::text FROM b WHERE c = ANY($1)`:                       1,
		`SELECT 1 FROM a FOR UPDATE`:                                    1,
		`SELECT count(*) FROM sqlite_master WHERE name = 'what? :that'`: 1,
		`SELECT 'why?' FROM a WHERE b = 'rowid'`:                        0,
	} {
		if got := faults(text); len(got) != n {
			t.Errorf("%q: %v; want %d faults", text, got, n)
		}
	}
}
