package phrase

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"
	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
)

// Language says texts in one language. Its file is read when it first speaks: most
// runs of the program speak one language, and some none.
type Language struct {
	tag  language.Tag
	read func() (book, error)
}

// book is what a language's file holds.
type book struct {
	words   map[string]entry
	species map[string]string // names of fish, by the English one
}

// entry is one key's words: one template, or one for each plural form.
type entry struct {
	forms   map[plural.Form]template
	counted int // index of the number that chooses the form
}

// formNames are the plural forms of CLDR.
var formNames = map[string]plural.Form{
	"zero": plural.Zero, "one": plural.One, "two": plural.Two, "few": plural.Few, "many": plural.Many, "other": plural.Other,
}

// Parse reads a language's file; tag is its BCP 47 name. A line of the file is
//
//	key = "words"
//	key = {one = "words", other = "words", of = 2}
//
// where of is the place of the number that is counted, 1 when left out.
func Parse(tag string, data []byte) (*Language, error) {
	l, err := unread(tag, data)
	if err == nil {
		_, err = l.read()
	}
	return l, err
}

// unread is a language whose file is not read yet.
func unread(tag string, data []byte) (*Language, error) {
	t, err := language.Parse(tag)
	if err != nil {
		return nil, fmt.Errorf("language %q: %w", tag, err)
	}
	return &Language{t, sync.OnceValues(func() (book, error) { return parse(tag, data) })}, nil
}

// parse reads paragraph by paragraph: go-toml looks through all keys before it for one
// that is there already.
func parse(tag string, data []byte) (book, error) {
	b := book{map[string]entry{}, speciesIn(tag)}
	for paragraph := range bytes.SplitSeq(data, []byte("\n\n")) {
		var lines map[string]any
		if err := toml.Unmarshal(paragraph, &lines); err != nil {
			return book{}, fmt.Errorf("language %s: %w", tag, err)
		}
		for key, line := range lines {
			e, err := parseEntry(line)
			if _, twice := b.words[key]; twice {
				err = errors.New("it has words already")
			}
			if err != nil {
				return book{}, fmt.Errorf("language %s, %s: %w", tag, key, err)
			}
			b.words[key] = e
		}
	}
	return b, nil
}

func (l *Language) book() book {
	b, err := l.read()
	if err != nil {
		panic(err) // what Parse has not read is embedded, and a test reads it
	}
	return b
}

func parseEntry(line any) (entry, error) {
	e := entry{forms: map[plural.Form]template{}}
	forms, ok := line.(map[string]any)
	if !ok {
		forms = map[string]any{"other": line}
	}
	for name, value := range forms {
		if n, isNumber := value.(int64); name == "of" && isNumber {
			e.counted = int(n) - 1
			continue
		}
		form, known := formNames[name]
		words, isText := value.(string)
		if !known || !isText {
			return e, fmt.Errorf("%s = %v are no words", name, value)
		}
		t, err := parseTemplate(words)
		if err != nil {
			return e, err
		}
		e.forms[form] = t
	}
	if _, ok := e.forms[plural.Other]; !ok {
		return e, fmt.Errorf("it lacks the form %q", "other")
	}
	return e, nil
}

// Tag is the language's BCP 47 name, such as ja.
func (l *Language) Tag() string { return l.tag.String() }

// Own is the language's name in itself, such as 日本語.
func (l *Language) Own() string { return l.Word("language") }

// Has reports whether the language has words for a key.
func (l *Language) Has(key string) bool { _, ok := l.book().words[key]; return ok }

// Say says a text; it reports false when a clause has no words, or words for
// more than the clause tells, as in results of other programs.
func (l *Language) Say(t Text) (string, bool) {
	var b strings.Builder
	for _, c := range t {
		s, ok := l.say(c)
		if !ok {
			return "", false
		}
		b.WriteString(s)
	}
	return b.String(), len(t) > 0
}

// Must says a text of this program; one that has no words shows its key between
// ⟦ and ⟧, which the tests look for.
func (l *Language) Must(t Text) string {
	var b strings.Builder
	for _, c := range t {
		s, ok := l.say(c)
		if !ok {
			s = "⟦" + c.Key + "⟧"
		}
		b.WriteString(s)
	}
	return b.String()
}

// Word says one clause, as templates of pages call it: numbers and names as they
// come, each kind in its own row.
func (l *Language) Word(key string, a ...any) string { return l.Must(Text{part(key, a)}) }

// List joins items as the language does.
func (l *Language) List(items []string) string {
	comma := ", "
	if e, ok := l.book().words["list-comma"]; ok {
		comma, _ = e.forms[plural.Other].fill(l, Part{})
	}
	return strings.Join(items, comma)
}

func (l *Language) say(c Part) (string, bool) {
	e, ok := l.book().words[c.Key]
	if !ok {
		return "", false
	}
	t := e.forms[plural.Other]
	if len(e.forms) > 1 && e.counted < len(c.Numbers) {
		if special, ok := e.forms[l.form(c.Numbers[e.counted])]; ok {
			t = special
		}
	}
	return t.fill(l, c)
}

// form is the plural form of a number as Number writes it.
func (l *Language) form(v float64) plural.Form {
	whole, decimals, _ := strings.Cut(strings.TrimPrefix(Number(v, -1), "-"), ".")
	return plural.Cardinal.MatchPlural(l.tag, last6(whole), len(decimals), len(decimals), last6(decimals), last6(decimals))
}

// last6 are a number's last six digits, which the rules of CLDR go by.
func last6(digits string) int {
	n := 0
	for _, d := range digits[max(0, len(digits)-6):] {
		n = 10*n + int(d-'0')
	}
	return n
}
