package terminal

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestFold(t *testing.T) {
	word := strings.Repeat("x", 90)
	for in, want := range map[string]string{
		"short\n": "short\n",
		"  1 again: " + strings.Repeat("too long ", 9) + "\n\nend": "  1 again: " + strings.Repeat("too long ", 7) + "too\n    long too long\n\nend",
		word:                              strings.Repeat("x", 78) + "\n  " + strings.Repeat("x", 12),
		strings.Repeat("魚", 50):           strings.Repeat("魚", 39) + "\n  " + strings.Repeat("魚", 11),
		"\x1b[1m" + word[:80] + "\x1b[0m": "\x1b[1m" + word[:80] + "\x1b[0m", // colour takes no room
	} {
		if got := Fold(in); got != want {
			t.Errorf("%q\nbecame %q\nwant   %q", in, got, want)
		}
	}
}

// Whatever stands in a table, it fits, and nothing of it is lost.
func TestTableFits(t *testing.T) {
	cell := rapid.StringMatching(`[a-z魚は]{0,45}( [a-z魚は]{1,20}){0,3}`)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 9).Draw(t, "columns")
		row := rapid.SliceOfN(cell, n, n)
		table := Table{Head: row.Draw(t, "head"), Rows: rapid.SliceOfN(row, 1, 3).Draw(t, "rows"), Numbers: func(column int) bool { return column == 1 }}
		got := table.String()
		for line := range strings.Lines(got) {
			if w := Width(strings.TrimRight(line, "\n")); w > Columns {
				t.Fatalf("%d columns: %s", w, line)
			}
		}
		count := map[rune]int{}
		for _, cells := range append(table.Rows, table.Head) {
			for _, r := range strings.Join(cells, "") {
				count[r]++
			}
		}
		for _, r := range got {
			count[r]--
		}
		for r, n := range count {
			if n != 0 && r != ' ' && r != '\n' {
				t.Fatalf("%d of %q are missing:\n%s", n, r, got)
			}
		}
	})
}

// Words stay whole where there is room for them, and numbers stand right.
func TestTableKeepsWords(t *testing.T) {
	got := Table{
		Head:    []string{"trainee", "good slices", "remark"},
		Rows:    [][]string{{"Anastasia Wilhelmina Featherstonehaugh-X", "3", strings.TrimSpace(strings.Repeat("lay the blade flatter ", 3))}},
		Numbers: func(column int) bool { return column == 1 },
	}.String()
	want := ` trainee                         good slices remark
 Anastasia Wilhelmina                      3 lay the blade flatter lay the blade
 Featherstonehaugh-X                         flatter lay the blade flatter
`
	if got != want {
		t.Errorf("\n%s\nwant\n%s", got, want)
	}
}

// A table as wide as the screen keeps its columns two apart; a letter more, and they move
// together.
func TestTableAsWideAsTheScreen(t *testing.T) {
	for more, gap := range []string{"  ", " "} {
		row := []string{strings.Repeat("x", Columns-2*3-2+more), "a", "b"}
		if got := (Table{Head: row, Rows: [][]string{row}}).String(); !strings.Contains(got, "x"+gap+"a"+gap+"b") {
			t.Errorf("%d letters: want %q between columns in\n%s", len(row[0]), gap, got)
		}
	}
}
