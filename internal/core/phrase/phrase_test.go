package phrase

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

func parsed(t *testing.T, tag, text string) *Language {
	t.Helper()
	l, err := Parse(tag, []byte(text))
	fatal.If(t, err)
	return l
}

func TestSay(t *testing.T) {
	text := Of("off", 14.04, 66, 80).And(Of("turn", 45, 39.5), Of("pieces", 3, 5), Named("of", "Aoi", "off-word"))
	for _, c := range []struct{ name, words, want string }{
		{"one order", `off = "{1:1} short ({2} of {3})"
turn = ": from {1:0}° to {2:0}°"
pieces = "; pieces {all}"
of = " ({a}, {@b})"
off-word = "length"`, "14.0 short (66 of 80): from 45° to 40°; pieces 3, 5 (Aoi, length)"},
		{"another order", `off = "{3} wanted, {2} is, {1:0} short"
turn = "、{2:0}° から {1±2:1}"
pieces = "、{all}番"
of = "。{@b} {a}、{names}"
off-word = "長さ"
list-comma = "・"`, "80 wanted, 66 is, 14 short、40° から 45.0 ± 39.5、3・5番。長さ Aoi、Aoi・off-word"},
	} {
		if got, ok := parsed(t, "en", c.words).Say(text); got != c.want || !ok {
			t.Errorf("%s: %q, %v; want %q", c.name, got, ok, c.want)
		}
	}
}

// A species is named in the reader's language; other names stand for themselves.
func TestSpecies(t *testing.T) {
	block := Named("block", "flounder", "harbour")
	for tag, want := range map[string]string{"en": "flounder, flounder, harbour", "ja": "ヒラメ, flounder, harbour"} {
		if got := parsed(t, tag, `block = "{~a}, {a}, {~b}"`).Must(block); got != want {
			t.Errorf("%s: %q, want %q", tag, got, want)
		}
	}
	for _, place := range []string{"{~}", "{~@a}", "{~~a}", "{~g}"} {
		if _, err := Parse("en", []byte(`x = "`+place+`"`)); err == nil {
			t.Errorf("%s is a place", place)
		}
	}
}

// What was kept by another program may lack words or numbers: then it is not said
// at all, and the sentence as kept can be.
func TestKeptSentence(t *testing.T) {
	l := parsed(t, "en", `off = "{1} of {2}"
who = "{b}"
of = "{@a}"`)
	for _, text := range []Text{nil, Of("gone", 1), Of("off", 1), Named("who", "a"), Named("of", "gone"), Of("off", 1, 2).And(Of("gone"))} {
		if got, ok := l.Say(text); ok {
			t.Errorf("%v is said as %q", text, got)
		}
	}
	if got, ok := l.Say(Of("off", 1, 2)); got != "1 of 2" || !ok {
		t.Errorf("said %q", got)
	}
	if got := l.Must(Of("gone")); got != "⟦gone⟧" {
		t.Errorf("a key without words is %q", got)
	}
}

// Plural forms follow CLDR: English has one and other (1.0 slices, 0 slices),
// Japanese other alone, Polish one, few and many (Unicode CLDR, Language Plural
// Rules).
func TestPlurals(t *testing.T) {
	en := parsed(t, "en", `n = {one = "{1} slice", other = "{1} slices"}
m = {one = "{1}: {2} cut", other = "{1}: {2} cuts", of = 2}`)
	pl := parsed(t, "pl", `n = {one = "{1} plaster", few = "{1} plastry", many = "{1} plastrów", other = "{1} plastra"}`)
	for v, want := range map[float64][2]string{
		0: {"0 slices", "0 plastrów"}, 1: {"1 slice", "1 plaster"}, 2: {"2 slices", "2 plastry"}, 5: {"5 slices", "5 plastrów"},
		12: {"12 slices", "12 plastrów"}, 22: {"22 slices", "22 plastry"}, 1.5: {"1.5 slices", "1.5 plastra"},
	} {
		if got := [2]string{en.Must(Of("n", v)), pl.Must(Of("n", v))}; got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
	if got := en.Word("m", 3, 1) + en.Word("m", 1, 3); got != "3: 1 cut1: 3 cuts" {
		t.Errorf("the second number counts: %q", got)
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v      float64
		digits int
		want   string
	}{{82.0486, 1, "82.0"}, {82.05, 1, "82.1"}, {-0.04, 1, "0.0"}, {75, -1, "75"}, {7.5, -1, "7.5"}, {0.12345, -1, "0.123"}, {1e6, -1, "1000000"}} {
		if got := Number(c.v, c.digits); got != c.want {
			t.Errorf("%v to %d: %q, want %q", c.v, c.digits, got, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, bad := range []string{
		`a = "{"`, `a = "{1"`, `a = "{0}"`, `a = "{1:4}"`, `a = "{1:x}"`, `a = "{1±2}"`, `a = "{x}"`, `a = "{@1}"`, `a = "{}"`, `a = 3`,
		`a = {one = "x"}`, `a = {other = "x", some = "y"}`, `a = {other = 3}`, `a = `, `a = "x"
a = "y"`,
	} {
		if _, err := Parse("en", []byte(bad)); err == nil {
			t.Errorf("%s is read", bad)
		}
	}
	if _, err := Parse("not a tag", nil); err == nil {
		t.Error("a tag that is none is read")
	}
}

// Errors speak English by themselves, and every language through In; several
// each in a line of its own, however they are wrapped.
func TestErrors(t *testing.T) {
	first, second := Wrong("busy-text"), Wrong("p-label", "t7")
	wrapped := fmt.Errorf("roster.csv: %w", errors.Join(first, errors.New("of the system"), fmt.Errorf("line: %w", second)))
	if !strings.Contains(wrapped.Error(), English().Word("p-label", "t7")) {
		t.Errorf("in English: %q", wrapped.Error())
	}
	for _, l := range Languages() {
		got, ok := In(l, wrapped)
		if want := l.Word("busy-text") + "\n" + l.Word("p-label", "t7"); got != want || !ok {
			t.Errorf("%s: %q, want %q", l.Tag(), got, want)
		}
	}
	if got, ok := In(English(), errors.New("of the system")); ok {
		t.Errorf("the system's own is said as %q", got)
	}
}

// And and With leave the text they are called on as it is.
func TestTextsStay(t *testing.T) {
	base := append(make(Text, 0, 8), Part{Key: "a", Numbers: append(make([]float64, 0, 4), 1)})
	base.And(Of("b"))
	if c := base.And(Of("c")); c[1].Key != "c" || len(base) != 1 {
		t.Errorf("%v after %v", c, base)
	}
	base.With(2)
	if d := base.With(3); d[0].Numbers[1] != 3 || len(base[0].Numbers) != 1 {
		t.Errorf("%v after %v", d, base)
	}
}

// What is kept is read again; a sentence that another program kept is said as it is.
func TestKept(t *testing.T) {
	for _, text := range []Text{nil, Of("a", 1, 2.5).And(Named("b", "名前"))} {
		if got := ReadKept(text.Kept()); fmt.Sprint(got) != fmt.Sprint(text) {
			t.Errorf("%v is read as %v", text, got)
		}
	}
	for _, old := range []string{"it was sent again", "[not JSON", "[]", "{}", `[{"x":1}]`} {
		for _, l := range Languages() {
			if got := l.Must(ReadKept(old)); got != old {
				t.Errorf("%q is said as %q", old, got)
			}
		}
	}
}

// A cause comes after its place or its sentence; a library's own words give way to
// ours, and both can be asked for.
func TestCauses(t *testing.T) {
	sentinel := Wrong("busy-text")
	inner := errors.New("SQLITE_BUSY")
	err := At("a.csv", sentinel.For(inner))
	if got, want := err.Error(), "a.csv: "+English().Word("busy-text"); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if !errors.Is(err, sentinel) || !errors.Is(err, inner) {
		t.Error("sentence or cause cannot be asked for")
	}
}

// What the operating system says is said in every language, with the file it is
// about; what nobody has words for stays as it is.
func TestSystemSpeaks(t *testing.T) {
	_, gone := os.Open(filepath.Join(t.TempDir(), "gone.jpg"))
	for _, l := range Languages() {
		got := l.Must(Telling(gone))
		if !strings.Contains(got, "gone.jpg") || !strings.HasSuffix(got, l.Word("system-gone")) {
			t.Errorf("%s: %q", l.Tag(), got)
		}
	}
	if got := English().Must(Telling(errors.New("odd"))); got != "odd" {
		t.Errorf("%q", got)
	}
}
