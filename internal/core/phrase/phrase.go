// Package phrase is the house's one phrasebook. What is told to a person is a
// key with numbers and names (Text); a language is one file of data under
// languages, which says each key in its own words. Text is made at the edge,
// where the language is known; everything before it passes Text on.
package phrase

import (
	"fmt"
	"strings"
)

// Part is one clause: its key, and the numbers and names it speaks of. A name is
// somebody's or something's own, the same in every language, or a key itself
// where the clause says so.
type Part struct {
	Key     string    `json:"key"`
	Numbers []float64 `json:"numbers,omitempty"`
	Names   []string  `json:"names,omitempty"`
}

// Text is what is to be said, clause after clause.
type Text []Part

// part is a clause of numbers and names as they come, each kind in its own row.
func part(key string, a []any) Part {
	c := Part{Key: key}
	for _, v := range a {
		switch v := v.(type) {
		case int:
			c.Numbers = append(c.Numbers, float64(v))
		case int64:
			c.Numbers = append(c.Numbers, float64(v))
		case float64:
			c.Numbers = append(c.Numbers, v)
		case *float64:
			c.Numbers = append(c.Numbers, *v)
		case []float64:
			c.Numbers = append(c.Numbers, v...)
		case []string:
			c.Names = append(c.Names, v...)
		default:
			c.Names = append(c.Names, fmt.Sprint(v))
		}
	}
	return c
}

// Of is a text of one clause.
func Of(key string, numbers ...float64) Text { return Text{{Key: key, Numbers: numbers}} }

// Named is a text of one clause that speaks of names.
func Named(key string, names ...string) Text { return Text{{Key: key, Names: names}} }

// With is t with more numbers in its last clause.
func (t Text) With(numbers ...float64) Text {
	out := append(Text(nil), t...)
	last := &out[len(out)-1]
	last.Numbers = append(append([]float64(nil), last.Numbers...), numbers...)
	return out
}

// Keys are those of its clauses: what is said, whatever the numbers and names.
func (t Text) Keys() string {
	keys := make([]string, len(t))
	for i, c := range t {
		keys[i] = c.Key
	}
	return strings.Join(keys, " ")
}

// And is t followed by other texts.
func (t Text) And(more ...Text) Text {
	out := append(Text(nil), t...)
	for _, m := range more {
		out = append(out, m...)
	}
	return out
}
