package line

import (
	"io"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/tell/report"
	"netagauge/internal/tell/terminal"
)

// Text writes what the checks that were taken just now mean, and then the state of
// the line, as a person reads it at a terminal.
func (l Line) Text(w io.Writer, in *phrase.Language) error {
	t := text{Language: in}
	for place, c := range l.Checks {
		if l.fresh(c.ID) {
			t.check(l, place)
		}
	}
	t.head(l)
	for _, m := range l.Measures {
		t.measure(l, m)
	}
	t.line("")
	for _, says := range []phrase.Text{l.surplus(), l.Trial(), phrase.Of("share-source"), phrase.Of("caution")} {
		t.say("", says)
	}
	_, err := io.WriteString(w, terminal.Fold(t.String()))
	return err
}

type text struct {
	*phrase.Language
	strings.Builder
}

func (t *text) line(s string) { t.WriteString(s + "\n") }

// say writes a text, indented; one that is empty leaves nothing.
func (t *text) say(indent string, says phrase.Text) {
	if len(says) > 0 {
		t.line(indent + t.Must(says))
	}
}

// check is what one check means for each measure that is charted.
func (t *text) check(l Line, place int) {
	c := l.Checks[place]
	t.say("", l.about(c))
	for _, m := range l.Measures {
		if m.Why != nil {
			continue
		}
		says, signals := l.At(m, place)
		t.say("  ", says)
		for _, s := range signals {
			t.say("    ", s.short())
		}
	}
	if l.charted() == 0 {
		t.say("  ", phrase.Of("control-first"))
	}
	if l.Signals(c.ID) {
		t.say("  ", phrase.Of("control-remark", float64(c.Number)))
	}
	t.line("")
}

// head names the line, and whose checks these are where there are several.
func (t *text) head(l Line) {
	t.line(t.Must(l.title()) + ": " + t.Must(l.span()))
	t.say("  ", Count(l.Checks).Says())
	if len(l.Plan.Facts) > 0 {
		t.line("  " + report.Printable(report.Words{Language: t.Language}.Facts(l.Plan.Facts)))
	}
	for _, says := range l.whose() {
		t.say("  ", says)
	}
}

// measure says first how many slices will be wrong, then what those who keep charts
// ask for.
func (t *text) measure(l Line, m Measure) {
	t.line("")
	t.say("", m.title())
	for _, says := range m.Shares() {
		t.say("  ", says)
	}
	if m.Why != nil {
		t.say("  ", phrase.Of("control-none").And(m.Why))
		return
	}
	signals := l.signals(m)
	for _, s := range signals {
		t.say("  ", s)
	}
	if len(signals) == 0 {
		t.say("  ", phrase.Of("chart-steady"))
	}
	for _, says := range []phrase.Text{m.centre(), m.capability(), m.sees()} {
		t.say("  ", says)
	}
}
