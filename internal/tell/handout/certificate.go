package handout

import (
	"io"
	"strconv"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/acceptance"
	"netagauge/internal/tell/terminal"
)

// Certificate writes the certificate of an installation on one page.
func Certificate(w io.Writer, c acceptance.Certificate, on time.Time, say *phrase.Language) error {
	d := newDoc(words{say}, say.Word("proof-certificate"))
	d.SetCreationDate(on)
	d.SetModificationDate(on)
	d.page("P")
	var bad failing
	bad.do(d.paragraph("B", 18, 9, say.Word("proof-certificate")))
	d.Ln(2)
	bad.do(d.paragraph("B", 12, 6, say.Must(c.Verdict())))
	d.Ln(3)
	for _, line := range certificateFacts(c, on, say) {
		bad.do(d.paragraph("", 10, 5, line[0]+say.Word("because")+line[1]))
	}
	d.Ln(4)
	var columns []column
	for i, head := range certificateHead(say) {
		columns = append(columns, column{head: head, wide: []float64{12, 38, 30, 30, 22, 28, 26}[i], text: i == 1})
	}
	bad.do(d.table(columns, certificateRows(c, say)))
	d.Ln(4)
	bad.do(d.paragraph("", 9, 4.5, say.Word("proof-means")))
	d.Ln(12)
	bad.do(d.paragraph("", 10, 5, say.Word("proof-signed")+" ______________________________"))
	if bad.err != nil {
		return bad.err
	}
	return d.Output(w)
}

// CertificateText is the same for a terminal.
func CertificateText(c acceptance.Certificate, on time.Time, say *phrase.Language) string {
	var out strings.Builder
	out.WriteString(say.Must(c.Verdict()) + "\n\n")
	for _, line := range certificateFacts(c, on, say) {
		out.WriteString(line[0] + say.Word("because") + line[1] + "\n")
	}
	tab := terminal.Table{Head: certificateHead(say), Rows: certificateRows(c, say), Numbers: func(column int) bool { return column != 1 }}
	out.WriteString("\n" + tab.String() + "\n" + say.Word("proof-means") + "\n")
	return terminal.Fold(out.String())
}

// certificateFacts are what the certificate holds for, each with its name.
func certificateFacts(c acceptance.Certificate, on time.Time, say *phrase.Language) [][2]string {
	or := func(s, otherwise string) string {
		if s == "" {
			return say.Word(otherwise)
		}
		return s
	}
	taken, bar := "", say.Word("proof-bar-none")
	if !c.Taken.IsZero() {
		taken = c.Taken.Format("2006-01-02 15:04")
	}
	if c.Bar > 0 {
		bar = say.Must(phrase.Of("proof-bar-measured", c.Bar))
	}
	return [][2]string{
		{say.Word("proof-date"), on.Format("2006-01-02")},
		{say.Word("proof-photo"), c.Photo + ", " + or(taken, "proof-no-date")},
		{say.Word("proof-phone"), or(c.Phone, "proof-no-phone")},
		{say.Word("proof-mat"), c.Mat + ", " + say.Must(phrase.Of("proof-card", 100*c.Card, 100*c.CardU))},
		{say.Word("proof-sheet"), bar + ", " + say.Must(phrase.Of("proof-sheet-seen", 100*c.Sheet))},
	}
}

func certificateHead(say *phrase.Language) []string {
	var out []string
	for _, key := range []string{"proof-number", "proof-shape", "proof-true-length", "proof-seen-length", "proof-error", "proof-true-area", "proof-area-error"} {
		out = append(out, say.Word(key))
	}
	return out
}

func certificateRows(c acceptance.Certificate, say *phrase.Language) [][]string {
	var out [][]string
	for i, r := range c.Rows {
		off := uncertainty.Signed(r.LengthError(), 2)
		if !r.Long() {
			off = "(" + off + ")"
		}
		out = append(out, []string{strconv.Itoa(i + 1), say.Word(r.Kind),
			uncertainty.Decimal(r.Shape.Length, 1), uncertainty.Decimal(r.Seen.Length, 2), off,
			uncertainty.Decimal(r.Shape.Area/100, 1), uncertainty.Signed(100*r.AreaError(), 2)})
	}
	return out
}
