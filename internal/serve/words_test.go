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
		"bent-mat", "glare", "covered-mat", "gray-field", "no-pieces", "print-scale", "worker-stopped", "too-slow", "program", "photo-missing"} {
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

func FuzzDecimalPoint(f *testing.F) {
	for _, s := range []string{"4,2", "４．２", "1:4.2,2:3.9", "１：４．２、２：３．９", "。", ",,"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		once := decimalPoint(s)
		if twice := decimalPoint(once); twice != once {
			t.Errorf("%q becomes %q and then %q", s, once, twice)
		}
	})
}

func TestDecimalPoint(t *testing.T) {
	for typed, want := range map[string]string{
		"4,2": "4.2", " 4.2 ": "4.2", "４．２": "4.2", "1:4.2,2:3.9": "1:4.2,2:3.9", "１：４．２、２：３．９": "1:4.2,2:3.9", "4.2,3": "4.2,3", "": "",
		"812,5": "812.5", "0,125": "0.125", "1,200": "1,200", " １，２００ ": "1,200", "12,3456": "12.3456",
	} {
		if got := decimalPoint(typed); got != want {
			t.Errorf("%q becomes %q, want %q", typed, got, want)
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
