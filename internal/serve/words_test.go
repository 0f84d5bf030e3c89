package serve

import (
	"io/fs"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"
)

// Every text is there in both languages, with the same places for numbers.
func TestBothLanguagesAreComplete(t *testing.T) {
	verb := regexp.MustCompile(`%[a-z%]`)
	for key, p := range words {
		if strings.TrimSpace(p.en) == "" || strings.TrimSpace(p.ja) == "" {
			t.Errorf("%s lacks a language", key)
		}
		if en, ja := verb.FindAllString(p.en, -1), verb.FindAllString(p.ja, -1); strings.Join(en, "") != strings.Join(ja, "") {
			t.Errorf("%s takes %v in English and %v in Japanese", key, en, ja)
		}
		japanese := strings.ContainsFunc(p.ja, func(r rune) bool { return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana) })
		if !japanese && !strings.ContainsAny(p.ja, "〜、–") && key != "language" {
			t.Errorf("%s is not Japanese: %q", key, p.ja)
		}
		if strings.ContainsFunc(p.en, func(r rune) bool { return r > 0x2fff }) && key != "language" {
			t.Errorf("%s is not English: %q", key, p.en)
		}
	}
	n := len(generalWords) + len(traineeWords) + len(resultWords) + len(secondWords) + len(wrongWords) + len(classWords) + len(chefWords)
	if n != len(words) {
		t.Errorf("%d texts share %d keys", n, len(words))
	}
}

// Every key that a page or the program names is there, and none is left over.
func TestKeysAreUsed(t *testing.T) {
	var source strings.Builder
	used := map[string]bool{}
	inPage := regexp.MustCompile(`\{\{[^}]*?\bt "([a-z0-9-]+)"|\(t "([a-z0-9-]+)"`)
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, "_test.go") || strings.HasPrefix(d.Name(), "phrases") {
			return err
		}
		text, err := os.ReadFile(path)
		source.Write(text)
		if strings.HasSuffix(path, ".html") {
			for _, m := range inPage.FindAllStringSubmatch(string(text), -1) {
				used[m[1]+m[2]] = true
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for key := range used {
		if !has(key) {
			t.Errorf("a page asks for %q, and there is no such text", key)
		}
	}
	made := regexp.MustCompile(`^(nav|state|verdict|fault|fix|p|r|role|how)-|-(title|text|field)$|^(length|width|weight)$|^wrong-(roster|standard)$`) // put together from parts
	for key := range words {
		if !strings.Contains(source.String(), `"`+key+`"`) && !made.MatchString(key) {
			t.Errorf("nothing uses the text %q", key)
		}
	}
}

// The codes of every problem that a report or the folder gives have words.
func TestProblemsHaveWords(t *testing.T) {
	for _, code := range []string{"second-photo", "unreadable", "too-large", "no-mat", "few-tags", "blurred", "too-dark", "too-bright", "too-far", "tilted",
		"bent-mat", "glare", "no-pieces", "print-scale", "worker-stopped", "too-slow", "program", "photo-missing"} {
		if !has("p-"+code) || !has("r-"+code) {
			t.Errorf("problem %q has no words", code)
		}
	}
}

func TestLanguageOf(t *testing.T) {
	for _, x := range []struct {
		asks, chose string
		want        lang
	}{
		{"", "", english}, {"ja", "", japanese}, {"ja-JP,ja;q=0.9,en;q=0.5", "", japanese}, {"en-GB,ja;q=0.5", "", english},
		{"fr,de", "", english}, {"ja", "en", english}, {"en", "ja", japanese}, {"ja", "<b>", japanese}, {"\xff;;;q=", "", english},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Header.Set("Accept-Language", x.asks)
		if x.chose != "" {
			r.Header.Set("Cookie", languageCookie+"="+x.chose)
		}
		if got := languageOf(r); got != x.want {
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
