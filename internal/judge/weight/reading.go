package weight

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// maxDigits is more than any instrument in a kitchen shows.
const maxDigits = 12

// parseReading reads a positive number as a person writes down what a scale or
// a caliper shows: digits and at most one decimal point. The digits tell how
// well it is known: "4.2" stands for anything from 4.15 to 4.25, each equally
// likely, so u = 0.05/√3 (GUM 4.3.7 and F.2.2.1). Nothing else is added: a
// reading that is less sure than its last digit should be written with fewer.
func parseReading(text string) (uncertainty.Value, error) {
	whole, decimals, _ := strings.Cut(text, ".")
	if !digits(whole) || strings.HasSuffix(text, ".") || decimals != "" && !digits(decimals) {
		return uncertainty.Value{}, notAReading(text)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || len(text) > maxDigits {
		return uncertainty.Value{}, phrase.Wrong("read-digits")
	}
	if x == 0 {
		return uncertainty.Value{}, phrase.Wrong("read-zero")
	}
	return uncertainty.Rectangular(x, 0.5*math.Pow10(-len(decimals))), nil
}

// notAReading says what is wrong with a text that is no plain number.
func notAReading(text string) error {
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case text == "":
		return phrase.Wrong("read-empty")
	case err == nil && x < 0:
		return phrase.Wrong("read-zero")
	case strings.Count(text, ",") == 1 && digits(strings.Replace(text, ",", "", 1)):
		return phrase.Wrong("read-comma", strconv.Quote(strings.Replace(text, ",", ".", 1)))
	}
	return phrase.Wrong("read-number")
}

// digits reports whether s is one or more of 0 to 9.
func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// told puts before an error what was read as what: its key, and the text.
func told(what, text string, err error) error {
	return about(phrase.Named("told", what, strconv.Quote(text)), err)
}

// toldOf does so for a reading of one piece.
func toldOf(what, text string, piece int, err error) error {
	return about(phrase.Named("told-of", what, strconv.Quote(text)).With(float64(piece)), err)
}

func about(what phrase.Text, err error) error {
	var e *phrase.Error
	if !errors.As(err, &e) {
		return fmt.Errorf("%s%w", phrase.English().Must(what), err)
	}
	return &phrase.Error{Says: what.And(e.Says), Cause: e.Cause}
}

// numbered is one reading for the piece of that number.
type numbered struct {
	Number  int
	Reading uncertainty.Value
}

// parseNumbered reads "1:4.2,2:3.9": piece numbers with a reading each, each
// piece once, in the order written. what is the key of what is read.
func parseNumbered(what, text string) ([]numbered, error) {
	var out []numbered
	seen := map[int]bool{}
	for _, part := range strings.Split(text, ",") {
		left, right, found := strings.Cut(strings.TrimSpace(part), ":")
		if !found {
			return nil, told(what, text, phrase.Wrong("read-no-slice", strconv.Quote(part)))
		}
		n, err := strconv.Atoi(strings.TrimSpace(left))
		if err != nil || n < 1 || !digits(strings.TrimSpace(left)) {
			return nil, told(what, text, phrase.Wrong("read-slice", strconv.Quote(left)))
		}
		if seen[n] {
			return nil, told(what, text, phrase.Wrong("read-twice", float64(n)))
		}
		seen[n] = true
		r, err := parseReading(strings.TrimSpace(right))
		if err != nil {
			return nil, toldOf(what, right, n, err)
		}
		out = append(out, numbered{n, r})
	}
	return out, nil
}
