package letters

import (
	"slices"
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"

	"netagauge/internal/core/phrase"
)

// Every sentence of every language, and names with letters of everyday use, have
// a face.
func TestEveryLetterIsThere(t *testing.T) {
	for _, l := range phrase.Languages() {
		for _, key := range []string{"caution", "verdict-pass", "sheet-use", "sheet-caution-food", "sheet-photograph-text", "class-passes"} {
			if s := l.Word(key); For(s) == None {
				t.Errorf("%s: no face has %q", l.Tag(), s)
			}
		}
	}
	for s, want := range map[string]Face{
		"Łukasz Żółć": LatinFace, "鈴木 花子": JapaneseFace, "髙﨑 瀨戸 渡邊": JapaneseFace, "Ann 鈴木 café": JapaneseFace, "محمد": None, "81.0 ± 3.3 mm²": LatinFace,
	} {
		if got := For(s); got != want {
			t.Errorf("%q has face %q, want %q", s, got, want)
		}
	}
}

// Lines break at spaces and between kanji, never before a full stop, and nothing
// is lost.
func TestWrap(t *testing.T) {
	p := NewPen(fpdf.New("P", "mm", "A4", ""))
	for _, s := range []string{
		"Tanaka alone stands in a narrow column", "魚は冷たく保ち、お住まいの地域の食品衛生の決まりに従ってください。", "Ann は「もう一度」と言った。",
		strings.Repeat("x", 90), "", "one", "a\nb",
	} {
		for _, width := range []float64{12, 30, 80} {
			lines := p.Wrap(s, width)
			if got := strings.Join(lines, ""); strings.ReplaceAll(got, " ", "") != strings.NewReplacer(" ", "", "\n", "").Replace(s) {
				t.Errorf("%q became %q", s, lines)
			}
			for _, l := range lines {
				if p.Width(l) > width && len([]rune(l)) > 1 {
					t.Errorf("%q is wider than %g mm", l, width)
				}
				if r := []rune(l); len(r) > 0 && strings.ContainsRune("。、」", r[0]) {
					t.Errorf("%q begins with a closing mark", l)
				}
			}
		}
	}
	if got := p.Wrap("Tanaka Anna", p.Width("Tanaka")+0.1); !slices.Equal(got, []string{"Tanaka", "Anna"}) {
		t.Errorf("%q", got)
	}
}
