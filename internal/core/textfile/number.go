package textfile

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Decimal writes the numbers in a text that people typed as the program reads them: with
// the digits and marks of a Japanese keyboard made plain, and a point for a comma that can
// only be a decimal one. In 1,200 it parts thousands for some people and decimals for
// others: it stays, so that the number is refused rather than guessed.
func Decimal(s string) string {
	s = strings.TrimSpace(strings.Map(plain, s))
	if !strings.ContainsAny(s, ":.") && strings.Count(s, ",") == 1 && !thousands.MatchString(s) {
		s = strings.Replace(s, ",", ".", 1)
	}
	return s
}

// plain is a full-width character as Latin keyboards have it.
func plain(r rune) rune {
	switch {
	case r >= '！' && r <= '～':
		return r - '！' + '!'
	case r == '、' || r == '，':
		return ','
	case r == '。':
		return '.'
	case r == '\u3000':
		return ' '
	}
	return r
}

var thousands = regexp.MustCompile(`^[+-]?[1-9]\d{0,2},\d{3}$`)

// Number is the one number that a text is; NaN where it is none.
func Number(s string) float64 {
	v, err := strconv.ParseFloat(Decimal(s), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}
