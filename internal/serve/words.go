package serve

import (
	"fmt"
	"net/http"
	"strings"

	"golang.org/x/text/language"
)

// lang is a language that the pages speak.
type lang string

const (
	english  lang = "en"
	japanese lang = "ja"
)

var matcher = language.NewMatcher([]language.Tag{language.English, language.Japanese})

// languageOf is the one the person chose, or else what the browser asks for.
func languageOf(r *http.Request) lang {
	if c, err := r.Cookie(languageCookie); err == nil {
		switch l := lang(c.Value); l {
		case english, japanese:
			return l
		}
	}
	tags, _, err := language.ParseAcceptLanguage(r.Header.Get("Accept-Language"))
	if err != nil || len(tags) == 0 {
		return english
	}
	if _, i, _ := matcher.Match(tags...); i == 1 {
		return japanese
	}
	return english
}

// other is the language to switch to.
func (l lang) other() lang {
	if l == english {
		return japanese
	}
	return english
}

// inBoth is one text in both languages.
type inBoth struct{ en, ja string }

// say returns the text of a key; a key that is not there says so itself, and a
// test finds it.
func (l lang) say(key string, a ...any) string {
	p, ok := words[key]
	text := p.en
	if l == japanese {
		text = p.ja
	}
	switch {
	case !ok:
		return "⟦" + key + "⟧"
	case len(a) == 0:
		return text
	}
	return fmt.Sprintf(text, a...)
}

// has reports whether there is a text of that key.
func has(key string) bool { _, ok := words[key]; return ok }

// list joins names as the language does.
func (l lang) list(items []string) string {
	if l == japanese {
		return strings.Join(items, "、")
	}
	return strings.Join(items, ", ")
}
