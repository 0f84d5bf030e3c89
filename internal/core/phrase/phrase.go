// Package phrase holds what is to be said apart from the language it is said in:
// keys and numbers, of which each language makes its sentence. It knows no
// language and rounds nothing.
package phrase

import (
	"fmt"
	"strconv"
	"strings"
)

// Part is one clause: its key and the numbers it speaks of.
type Part struct {
	Key     string    `json:"key"`
	Numbers []float64 `json:"numbers,omitempty"`
}

// Text is a sentence, clause after clause.
type Text []Part

// Of is a text of one clause.
func Of(key string, numbers ...float64) Text { return Text{{key, numbers}} }

// And is t followed by other texts.
func (t Text) And(more ...Text) Text {
	out := append(Text(nil), t...)
	for _, m := range more {
		out = append(out, m...)
	}
	return out
}

// In says the text in a language: each clause by its template in words, one
// after the other. A template is as for fmt.Sprintf with the clause's numbers, or
// has one %s for all of them in a row, as the numbers of pieces are written. It
// reports false when a clause has no template.
func (t Text) In(words map[string]string) (string, bool) {
	var b strings.Builder
	for _, p := range t {
		template, ok := words[p.Key]
		if !ok {
			return "", false
		}
		b.WriteString(p.in(template))
	}
	return b.String(), true
}

func (p Part) in(template string) string {
	if strings.Contains(template, "%s") {
		list := make([]string, len(p.Numbers))
		for i, n := range p.Numbers {
			list[i] = strconv.FormatFloat(n, 'f', -1, 64)
		}
		return fmt.Sprintf(template, strings.Join(list, ", "))
	}
	args := make([]any, len(p.Numbers))
	for i, n := range p.Numbers {
		args[i] = n
	}
	return fmt.Sprintf(template, args...)
}
