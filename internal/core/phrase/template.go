package phrase

import (
	"fmt"
	"strconv"
	"strings"

	"netagauge/internal/core/uncertainty"
)

// A template is a clause in one language, with places in braces:
//
//	{1} {2}   a number as it is, to three digits at most: 75, 7.5
//	{1:0}     a number to so many digits, 0 to 3
//	{1±2:1}   a number and its interval, which is rounded up
//	{a} {b}   a name as it is
//	{~a}      a species' name, in this language where it has one
//	{@a}      a name that is a key, in this language, of the same numbers and names
//	{all}     all numbers in a row, as the language joins a list
//	{names}   all names in a row
type template []piece

// piece is literal text, or a place when kind is not 0.
type piece struct {
	text   string // the place as written, without braces
	kind   byte   // 'n'umber, '±', 'a' name, '@' key, '~' species, 'l'ist of numbers, 's' list of names
	at, u  int    // index of number or name, and of the interval
	digits int    // -1 for as it is
}

func parseTemplate(s string) (template, error) {
	var out template
	for s != "" {
		text, rest, open := strings.Cut(s, "{")
		if text != "" {
			out = append(out, piece{text: text})
		}
		if !open {
			break
		}
		place, after, closed := strings.Cut(rest, "}")
		p, ok := parsePlace(place)
		if !closed || !ok {
			return nil, fmt.Errorf("{%s} is no place for a number or a name", place)
		}
		out, s = append(out, p), after
	}
	return out, nil
}

func parsePlace(s string) (piece, bool) {
	p := piece{text: s, digits: -1}
	switch key := strings.TrimLeft(s, "@~"); {
	case s == "all":
		p.kind = 'l'
		return p, true
	case s == "names":
		p.kind = 's'
		return p, true
	case len(key) == 1 && key[0] >= 'a' && key[0] <= 'f' && len(s) <= 2:
		p.kind, p.at = 'a', int(key[0]-'a')
		if len(s) == 2 {
			p.kind = s[0]
		}
		return p, true
	}
	number, digits, rounded := strings.Cut(s, ":")
	value, u, interval := strings.Cut(number, "±")
	p.kind = 'n'
	if interval {
		p.kind = '±'
	}
	ok := position(value, &p.at) && (!interval || rounded && position(u, &p.u))
	if rounded {
		d, err := strconv.Atoi(digits)
		p.digits, ok = d, ok && err == nil && d >= 0 && d <= 3
	}
	return p, ok
}

func position(s string, at *int) bool {
	n, err := strconv.Atoi(s)
	*at = n - 1
	return err == nil && n >= 1 && n <= 9
}

// fill says the clause; it reports false when the template has a place for what
// the clause does not have.
func (t template) fill(l *Language, c Part) (string, bool) {
	var b strings.Builder
	for _, p := range t {
		s, ok := p.fill(l, c)
		if !ok {
			return "", false
		}
		b.WriteString(s)
	}
	return b.String(), true
}

func (p piece) fill(l *Language, c Part) (string, bool) {
	switch p.kind {
	case 0:
		return p.text, true
	case 'a', '@', '~':
		if p.at >= len(c.Names) {
			return "", false
		}
		switch p.kind {
		case 'a':
			return c.Names[p.at], true
		case '~':
			return l.Species(c.Names[p.at]), true
		}
		return l.say(Part{c.Names[p.at], c.Numbers, c.Names})
	case 's':
		return l.List(c.Names), true
	case 'l':
		row := make([]string, len(c.Numbers))
		for i, v := range c.Numbers {
			row[i] = Number(v, -1)
		}
		return l.List(row), true
	}
	if p.at >= len(c.Numbers) || p.u >= len(c.Numbers) {
		return "", false
	}
	if p.kind == '±' {
		return uncertainty.PlusMinus(c.Numbers[p.at], c.Numbers[p.u], p.digits), true
	}
	return Number(c.Numbers[p.at], p.digits), true
}

// most is how many digits a number as it is has at most.
const most = 3

// Number writes a number for reading, to so many digits, or as it is for -1.
func Number(v float64, digits int) string {
	if digits < 0 {
		return strconv.FormatFloat(uncertainty.Round(v, most), 'f', -1, 64)
	}
	return uncertainty.Decimal(v, digits)
}
