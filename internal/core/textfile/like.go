package textfile

import (
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
)

// Like is which of the names somebody may have meant who typed a word that is none of
// them: at most three, those first that take the fewest letters to change. A name counts
// that takes about a third of the word's letters at most and keeps one of its own, or that
// holds the word, of three letters at least. Our setting.
func Like(word string, names []string) []string {
	distance := func(name string) int { return levenshtein.ComputeDistance(word, name) }
	like := slices.DeleteFunc(slices.Clone(names), func(name string) bool {
		d := distance(name)
		near := d <= max(1, (len([]rune(word))+1)/3) && d < len([]rune(name))
		return !near && !(len(word) >= 3 && strings.Contains(name, word))
	})
	slices.SortStableFunc(like, func(a, b string) int { return distance(a) - distance(b) })
	return like[:min(3, len(like))]
}
