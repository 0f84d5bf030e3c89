package weight

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

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
		return uncertainty.Value{}, errors.New("has too many digits")
	}
	if x == 0 {
		return uncertainty.Value{}, errors.New("must be more than zero")
	}
	return uncertainty.Rectangular(x, 0.5*math.Pow10(-len(decimals))), nil
}

// notAReading says what is wrong with a text that is no plain number.
func notAReading(text string) error {
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case text == "":
		return errors.New("is empty")
	case err == nil && x < 0:
		return errors.New("must be more than zero")
	case strings.Count(text, ",") == 1 && digits(strings.Replace(text, ",", "", 1)):
		return fmt.Errorf("has a comma; write the decimal point as %q", strings.Replace(text, ",", ".", 1))
	}
	return errors.New("is not a plain number such as 4.2")
}

// digits reports whether s is one or more of 0 to 9.
func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// numbered is one reading for the piece of that number.
type numbered struct {
	Number  int
	Reading uncertainty.Value
}

// parseNumbered reads "1:4.2,2:3.9": piece numbers with a reading each, each
// piece once, in the order written. what names the reading in errors.
func parseNumbered(what, text string) ([]numbered, error) {
	var out []numbered
	seen := map[int]bool{}
	for _, part := range strings.Split(text, ",") {
		left, right, found := strings.Cut(strings.TrimSpace(part), ":")
		if !found {
			return nil, fmt.Errorf("%s %q: %q has no piece number; write piece:%s, such as 2:3.9, parted by commas, decimals with a point", what, text, part, what)
		}
		n, err := strconv.Atoi(strings.TrimSpace(left))
		if err != nil || n < 1 || !digits(strings.TrimSpace(left)) {
			return nil, fmt.Errorf("%s %q: %q is not a piece number; the annotated picture shows them, from 1 on", what, text, left)
		}
		if seen[n] {
			return nil, fmt.Errorf("%s %q: piece %d is given twice; give each piece once", what, text, n)
		}
		seen[n] = true
		r, err := parseReading(strings.TrimSpace(right))
		if err != nil {
			return nil, fmt.Errorf("%s of piece %d, %q, %w", what, n, right, err)
		}
		out = append(out, numbered{n, r})
	}
	return out, nil
}
