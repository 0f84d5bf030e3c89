// Package lines breaks text into lines, on paper and at a terminal alike: at
// spaces, and between letters that are written without spaces, but never before a
// closing mark, after an opening one or within a value.
package lines

import "strings"

// Measure is how wide a text is, in whatever unit the width of a line has.
type Measure func(string) float64

// Break gives the lines of a text, none wider than width. A word that is wider than
// a line is broken anywhere; a single letter stands even where it is too wide.
func Break(s string, width float64, measure Measure) []string {
	var out []string
	for para := range strings.SplitSeq(s, "\n") {
		line := ""
		for _, w := range words(para) {
			if line == "" || measure(line+strings.TrimRight(w, " ")) <= width {
				line += w
			} else {
				out, line = append(out, strings.TrimRight(line, " ")), w
			}
			for measure(strings.TrimRight(line, " ")) > width && len([]rune(line)) > 1 {
				n := fits(line, width, measure)
				out, line = append(out, string([]rune(line)[:n])), string([]rune(line)[n:])
			}
		}
		out = append(out, strings.TrimRight(line, " "))
	}
	return out
}

// fits is how many letters of a line fit, at least one.
func fits(line string, width float64, measure Measure) int {
	r := []rune(line)
	n := 1
	for n < len(r) && measure(string(r[:n+1])) <= width {
		n++
	}
	return n
}

// Widest is the width of the widest word of a text: what cannot be broken well.
func Widest(s string, measure Measure) (wide float64) {
	for para := range strings.SplitSeq(s, "\n") {
		for _, w := range words(para) {
			wide = max(wide, measure(strings.TrimRight(w, " ")))
		}
	}
	return wide
}

const (
	closing = "。、，．・：；！？）」』】〉》〕］｝ー々ぁぃぅぇぉっゃゅょァィゥェォッャュョ%％°,.;:!?)]}"
	opening = "（「『【〈《〔［｛([{"
	between = "±×" // the numbers of one value
	before  = "≈"  // such a number
)

// words are the pieces of a text between which a line may be broken, each with the
// spaces after it.
func words(s string) []string {
	var out []string
	word := []rune{}
	r := []rune(s)
	for i, c := range r {
		word = append(word, c)
		if i+1 == len(r) || breaks(r, i) {
			out, word = append(out, string(word)), word[:0]
		}
	}
	return out
}

// breaks reports whether a line may end after a letter that is not the last.
func breaks(r []rune, i int) bool {
	a, b := r[i], r[i+1]
	switch {
	case b == ' ' || strings.ContainsRune(closing+between, b) || strings.ContainsRune(opening, a):
		return false
	case a == ' ':
		return i == 0 || !strings.ContainsRune(between+before, r[i-1])
	}
	return wide(a) || wide(b)
}

// wide reports whether a letter is of a script without spaces between words: kana,
// kanji and the marks beside them.
func wide(r rune) bool { return r >= 0x3000 && r <= 0x9fff || r >= 0xff00 && r <= 0xffef }
