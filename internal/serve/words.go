package serve

import (
	"net/http"
	"slices"

	"golang.org/x/text/language"

	"netagauge/internal/core/phrase"
)

// lang is the language a page is made in.
type lang = *phrase.Language

// language is the one the person chose, or else what the browser asks for.
func (s *Server) language(r *http.Request) lang {
	if c, err := r.Cookie(languageCookie); err == nil {
		if l, ok := s.speaks(c.Value); ok {
			return l
		}
	}
	asked, _, err := language.ParseAcceptLanguage(r.Header.Get("Accept-Language"))
	if err != nil || len(asked) == 0 {
		return s.Languages[0]
	}
	tags := make([]language.Tag, len(s.Languages))
	for i, l := range s.Languages {
		tags[i] = language.Make(l.Tag())
	}
	_, i, sure := language.NewMatcher(tags).Match(asked...)
	if sure == language.No {
		i = 0
	}
	return s.Languages[i]
}

// speaks is the language of a tag, if the pages speak it.
func (s *Server) speaks(tag string) (lang, bool) {
	i := slices.IndexFunc(s.Languages, func(l lang) bool { return l.Tag() == tag })
	if i < 0 {
		return nil, false
	}
	return s.Languages[i], true
}
