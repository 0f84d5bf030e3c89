package handout

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/settings"
	"netagauge/internal/keep/signet"
	"netagauge/internal/tell/telltest"
)

// closedExam is an invented exam of number 417: 9 of 10 slices good, one word apart.
func closedExam(t *testing.T) *exam.Exam {
	t.Helper()
	at := time.Date(2026, 11, 26, 9, 0, 0, 0, time.UTC)
	tray := exam.Tray{Place: 1, Photo: "p", Received: at}
	mori, sato := map[int]string{}, map[int]string{}
	for i := range 10 {
		tray.Pieces = append(tray.Pieces, exam.Seen{Piece: i + 1, Slices: 1, Verdict: piece.Pass})
		mori[i+1], sato[i+1] = piece.SaidGood, piece.SaidGood
	}
	mori[1], sato[1], mori[2] = piece.SaidAgain, piece.SaidAgain, piece.SaidAgain
	acts := []exam.Act{
		{Kind: exam.SetUp, At: at, By: "Mori", Task: &exam.Task{Name: "Autumn, second course", Ticket: "t", Species: "salmon", Trays: 1, Slices: 10, Minutes: 20, Mark: 0.8, Close: true}},
		{Kind: exam.Entered, At: at, Number: 417, Sealed: "s"}, {Kind: exam.Begun, At: at, By: "Mori"}, {Kind: exam.Sent, At: at, Number: 417, Tray: &tray},
		{Kind: exam.Judged, At: at, By: "Mori", Number: 417, Place: 1, Photo: "p", Words: mori}, {Kind: exam.Judged, At: at, By: "Sato", Number: 417, Place: 1, Photo: "p", Words: sato},
	}
	e, err := exam.Of(acts)
	fatal.If(t, err)
	r := e.Results()
	r.Key = strings.Repeat("A", 43) + "="
	r.Repeat = &exam.Repeat{DoneAt: at, Photos: 3, Slices: 6, Length: 0.42, Width: 0.31}
	fatal.If(t, e.Do(exam.Act{Kind: exam.Closed, At: at.Add(time.Hour), By: "Mori", Result: &r}))
	return e
}

func examPaper(t *testing.T, l *phrase.Language, name string) []byte {
	t.Helper()
	p := ExamPaper{Exam: closedExam(t), Ticket: ticket.Ticket{Standard: standard.Default(), Species: "salmon"}, Number: 417, Name: name, Head: strings.Repeat("5e", 32), Words: l}
	pdf, err := p.PDF()
	fatal.If(t, err)
	return pdf
}

// A signed certificate is one page that other programs read, in every language, and
// says everything. NETAGAUGE_LOOK names a folder to look at it in.
func TestExamPaper(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("poppler is not installed")
	}
	key, err := signet.Open(t.Context(), settings.InFolder(t.TempDir()))
	fatal.If(t, err)
	dir := telltest.Look(t)
	for _, l := range phrase.Languages() {
		for i, name := range append(telltest.LongNames, "山田 太郎", "") {
			pdf := examPaper(t, l, name)
			if !bytes.Equal(pdf, examPaper(t, l, name)) {
				t.Errorf("%s: the same record gives another paper", l.Tag())
			}
			content, _, err := signet.Signed(key.Sign(pdf))
			if s, found := StatedIn(content); err != nil || !found || s != (Stated{"Autumn, second course", 417, strings.Repeat("5e", 32)}) {
				t.Errorf("%s: it states %+v, %v, %v", l.Tag(), s, found, err)
			}
			telltest.Whole(t, l.Tag()+" "+name, pdf, pdfMargin-1)
			path := filepath.Join(dir, "exam-"+l.Tag()+string(rune('a'+i))+".pdf")
			fatal.If(t, os.WriteFile(path, key.Sign(pdf), 0o600))
			var warned bytes.Buffer
			read := exec.Command("pdftotext", "-layout", path, "-")
			read.Stderr = &warned
			text, err := read.Output()
			if err != nil || warned.Len() > 0 {
				t.Errorf("%s, %q: pdftotext says %v, %s", l.Tag(), name, err, &warned)
			}
			if n := bytes.Count(text, []byte("\f")); n != 1 {
				t.Errorf("%s, %q: %d pages", l.Tag(), name, n)
			}
			flat := strings.Join(strings.Fields(string(text)), "")
			for _, want := range []string{"Autumn, second course", "417", "Mori", "Sato", "90", "80", l.Word("exam-passed"), strings.Repeat("5e", 32), l.Word("exam-means"), l.Word("caution"), "0.62", l.Word("exam-verify-how")} {
				if !strings.Contains(flat, strings.Join(strings.Fields(want), "")) {
					t.Errorf("%s, %q: the paper lacks %q\n%s", l.Tag(), name, want, text)
				}
			}
		}
	}
}

// What is stated with confidence is never rounded up.
func TestConfidence(t *testing.T) {
	for share, want := range map[float64]string{0.98: "98 %", 0.9799: "97 %", 0.9996: "99.9 %", 0.99999: "99.9 %", 0: "0 %", 0.005: "0 %", 0.991: "99.1 %"} {
		if got := Confidence(share); got != want {
			t.Errorf("%v: %s, want %s", share, got, want)
		}
	}
}
