package serve

import (
	"net/http/httptest"
	"testing"
	"time"

	"netagauge/internal/core/phrase"
)

// The codes of every problem that a report or the folder gives have words.
func TestProblemsHaveWords(t *testing.T) {
	for _, code := range []string{"second-photo", "unreadable", "too-large", "no-mat", "few-tags", "blurred", "too-dark", "too-bright", "too-far", "tilted",
		"bent-mat", "glare", "covered-mat", "two-mats", "gray-field", "no-pieces", "print-scale", "worker-stopped", "too-slow", "program", "photo-missing"} {
		if l := phrase.English(); !l.Has("p-"+code) || !l.Has("r-"+code) {
			t.Errorf("problem %q has no words", code)
		}
	}
}

func TestLanguageOf(t *testing.T) {
	s := &Server{Options: Options{Languages: phrase.Languages()}}
	for _, x := range []struct {
		asks, chose string
		want        string
	}{
		{"", "", "en"}, {"ja", "", "ja"}, {"ja-JP,ja;q=0.9,en;q=0.5", "", "ja"}, {"en-GB,ja;q=0.5", "", "en"},
		{"fr,de", "", "en"}, {"ja", "en", "en"}, {"en", "ja", "ja"}, {"ja", "<b>", "ja"}, {"\xff;;;q=", "", "en"},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Header.Set("Accept-Language", x.asks)
		if x.chose != "" {
			r.Header.Set("Cookie", languageCookie+"="+x.chose)
		}
		if got := s.language(r).Tag(); got != x.want {
			t.Errorf("asks %q, chose %q: %s, want %s", x.asks, x.chose, got, x.want)
		}
	}
}

// Nobody is sent away from the site by a link to it.
func TestOurs(t *testing.T) {
	for path, want := range map[string]string{
		"/class?x=1": "/class?x=1", "": "/", "//evil.example": "/", "https://evil.example": "/", "/\\evil.example": "/", "/a\r\nSet-Cookie: x": "/", "javascript:alert(1)": "/",
	} {
		if got := ours(path); got != want {
			t.Errorf("%q becomes %q, want %q", path, got, want)
		}
	}
}

func TestClock(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 30, 0, 0, time.Local)
	for at, want := range map[time.Time]string{now.Add(-time.Hour): "08:30", now.AddDate(0, 0, -1): "2026-11-24", now.AddDate(-1, 0, 0): "2025-11-25"} {
		if got := clock(at.UTC(), now); got != want {
			t.Errorf("%v is %q, want %q", at, got, want)
		}
	}
}
