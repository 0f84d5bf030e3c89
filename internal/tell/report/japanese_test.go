package report

import (
	"bytes"
	"fmt"
	"image"
	"regexp"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
)

// inEnglish is a run of three words of Latin letters or more: a sentence that
// nobody put into the language.
var inEnglish = regexp.MustCompile(`[A-Za-z][a-z']+(?:[ ,;:]+[A-Za-z][a-z']*){2,}`)

// spoken is the sample with what a tray has that was just measured: clauses for all
// that it says.
func spoken() piece.Tray {
	r := sample()
	r.Problems[0] = piece.NewProblem("glare", phrase.Of("p-glare"), phrase.Of("r-glare"))
	r.Tally.Says = []phrase.Text{phrase.Of("lengths-scatter", 9, 71, 80)}
	r.Tally.Advice = []string{english.Must(r.Tally.Says[0])}
	for i := range r.Pieces {
		p := &r.Pieces[i]
		for k := range p.Faults {
			if f := &p.Faults[k]; f.Advice != "" {
				f.Says = phrase.Of("too-small")
				f.Advice = english.Must(f.Says)
			}
		}
	}
	r.Pieces[5].Set(piece.Touching, "why-touching")
	return r
}

// names are what is nobody's to translate.
var names = strings.NewReplacer("kamome-school-tray-7.jpg", "", "kamome-school-tray-8.jpg", "", "tuna, lean", "", "nigiri", "")

// Every output in another language holds no English sentence, nor a key without
// words, whatever language it is.
func TestOtherLanguagesAreWhole(t *testing.T) {
	for _, l := range phrase.Languages()[1:] {
		w := Words{l}
		outputs := map[string]string{}
		for name, r := range map[string]piece.Tray{"a tray": spoken(), "one without weights": unweighedSpoken(), "a refused one": refusedSpoken()} {
			var text, page bytes.Buffer
			fatal.If(t, w.Text(&text, false, r, r))
			fatal.If(t, w.HTML(&page, Page{Report: r}))
			_, body, _ := strings.Cut(page.String(), "</style>")
			outputs[name+", text"], outputs[name+", page"] = text.String(), tags.ReplaceAllString(body, " | ")
			for _, p := range r.Pieces {
				outputs[name+", picture"] += strings.Join(w.labelLines(p), "\n") + "\n"
			}
		}
		for name, s := range outputs {
			if found := inEnglish.FindString(names.Replace(s)); found != "" || strings.Contains(s, "⟦") {
				t.Errorf("%s: %s says %q:\n%s", l.Tag(), name, found, s)
			}
		}
	}
}

func unweighedSpoken() piece.Tray {
	r := spoken()
	for i := range r.Pieces {
		r.Pieces[i].Weight, r.Pieces[i].WeightBudget = piece.Value{}, nil
	}
	return r
}

func refusedSpoken() piece.Tray {
	r := refused()
	for i, p := range r.Problems {
		r.Problems[i] = piece.NewProblem(p.Code, phrase.Of("p-"+p.Code), phrase.Of("r-"+p.Code))
	}
	return r
}

// The picture's font has the letters of every language: none is drawn as the box
// that stands for a missing one.
func TestLabelsHaveLetters(t *testing.T) {
	p, err := newPen(image.NewRGBA(image.Rect(0, 0, 9, 9)), 20)
	fatal.If(t, err)
	missing := fmt.Sprint(p.glyph('\U0010fffd').mask)
	for _, l := range phrase.Languages() {
		for _, r := range spoken().Pieces {
			for _, c := range strings.Join(Words{l}.labelLines(r), "") {
				if c != ' ' && fmt.Sprint(p.glyph(c).mask) == missing {
					t.Errorf("%s: no letter for %q", l.Tag(), c)
				}
			}
		}
	}
}
