package phrase

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/text/feature/plural"
)

// Every language has the same keys, and in each the same numbers to the same
// digits and the same names.
func TestLanguagesSayTheSame(t *testing.T) {
	english := English()
	for _, l := range Languages()[1:] {
		for key, e := range english.book().words {
			o, ok := l.book().words[key]
			if !ok {
				t.Errorf("%s has no words for %s", l.Tag(), key)
				continue
			}
			if want, got := e.places(), o.places(); !slices.Equal(got, want) {
				t.Errorf("%s, %s speaks of %v, in English of %v", l.Tag(), key, got, want)
			}
		}
		for key := range l.book().words {
			if !english.Has(key) {
				t.Errorf("%s has words for %s, which English has not", l.Tag(), key)
			}
		}
	}
}

// places are what the words speak of, each once; forms for one may leave the
// number counted out.
func (e entry) places() []string {
	all := map[string]bool{}
	for _, t := range e.forms {
		for _, p := range t {
			if p.kind != 0 {
				all[p.text] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(all))
}

// Where words are given by plural form, every form that the language has is there.
func TestPluralFormsAreWhole(t *testing.T) {
	for _, l := range Languages() {
		needs := map[plural.Form]bool{}
		for n := range 200 {
			needs[l.form(float64(n))] = true
		}
		for key, e := range l.book().words {
			if len(e.forms) == 1 {
				continue
			}
			for form := range needs {
				if _, ok := e.forms[form]; !ok {
					t.Errorf("%s, %s lacks a plural form", l.Tag(), key)
				}
			}
			for form := range e.forms {
				if !needs[form] && form != plural.Other {
					t.Errorf("%s, %s has a plural form that the language has not", l.Tag(), key)
				}
			}
		}
	}
}

// said is all that a key's words say, the places left out.
func (e entry) said() string {
	var b strings.Builder
	for _, t := range e.forms {
		for _, p := range t {
			if p.kind == 0 {
				b.WriteString(p.text)
			}
		}
	}
	return b.String()
}

// Japanese is in Japanese letters with full-width marks, and English in Latin ones.
func TestScripts(t *testing.T) {
	kana := func(r rune) bool { return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana) }
	for _, l := range Languages() {
		for key, e := range l.book().words {
			said := e.said()
			letters := strings.ContainsFunc(said, unicode.IsLetter)
			switch l.Tag() {
			case "ja":
				if letters && !strings.ContainsFunc(said, kana) && !strings.Contains(units, "|"+strings.TrimSpace(said)+"|") {
					t.Errorf("ja, %s is not Japanese: %q", key, said)
				}
				for _, r := range said {
					if r >= '０' && r <= '９' {
						t.Errorf("ja, %s has full-width digits: %q", key, said)
					}
				}
				if i := strings.IndexAny(said, ",;!?"); i >= 0 && strings.ContainsFunc(said, kana) && !strings.Contains(said, "label,name") && !strings.Contains(said, ":4.2,") {
					t.Errorf("ja, %s has half-width marks: %q", key, said)
				}
			case "en":
				if strings.ContainsFunc(said, kana) {
					t.Errorf("en, %s is not English: %q", key, said)
				}
			}
		}
	}
}

// units are words that are the same in Japanese.
const units = "|mm|g|±|mm²|px/mm|cm|Cp|Cpk|"
