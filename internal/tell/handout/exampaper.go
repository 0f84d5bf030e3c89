package handout

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/ticket"
)

// ExamPaper is what a candidate is given of a closed exam.
type ExamPaper struct {
	Exam   *exam.Exam
	Ticket ticket.Ticket // that the exam's seal stands for
	Number int
	Name   string // empty where it was deleted
	Head   string // hash of the record's last act
	Words  *phrase.Language
}

// Stated is what a certificate says in a comment behind its end, for a program to
// read: which candidate's of which exam it is, and the last hash of the record then.
type Stated struct {
	Exam   string `json:"exam"`
	Number int    `json:"number"`
	Head   string `json:"head"`
}

const statedMark = "%netagauge-exam "

// PDF is the certificate on one page. The same record gives the same bytes.
func (p ExamPaper) PDF() ([]byte, error) {
	r, closed := p.Exam.Result(p.Number)
	if !closed {
		return nil, fmt.Errorf("number %d has no result in the exam %q", p.Number, p.Exam.Task.Name)
	}
	say := words{p.Words}
	d := newDoc(say, say.Word("exam-paper")+", "+p.Exam.Task.Name)
	d.SetCreationDate(p.Exam.Closed)
	d.SetModificationDate(p.Exam.Closed)
	d.page("P")
	var bad failing
	bad.do(d.paragraph("", 10, 5, say.Word("exam-paper")))
	bad.do(d.paragraph("B", 18, 9, p.Exam.Task.Name))
	d.Ln(3)
	whose := say.Word("exam-number", float64(p.Number))
	if p.Name != "" {
		whose = say.Word("exam-whose", p.Name, float64(p.Number))
	}
	bad.do(d.paragraph("B", 14, 7, whose))
	bad.do(d.paragraph("", 10, 5, say.day(p.Exam.Begun.Local())))
	d.Ln(4)
	bad.do(d.paragraph("B", 20, 10, say.Word(Outcome(r))))
	d.Ln(2)
	for _, t := range p.says(r) {
		bad.do(d.paragraph("", 11, 6, say.Must(t)))
	}
	d.Ln(12)
	bad.do(d.paragraph("", 10, 5, say.Word("proof-signed")+" ______________________________"))
	d.Ln(8)
	bad.do(d.paragraph("B", 9, 4.5, say.Word("exam-means")))
	for _, key := range []string{"exam-holds-words", "caution"} {
		bad.do(d.paragraph("", 9, 4.5, say.Word(key)))
	}
	d.Ln(2)
	for _, line := range []string{say.Word("exam-key-is", p.Exam.Closing.Key), say.Word("exam-head-is", p.Head), say.Word("exam-verify-how")} {
		bad.do(d.paragraph("", 8, 4, line))
	}
	if bad.err != nil {
		return nil, bad.err
	}
	return p.stated(d)
}

// stated is the finished paper with what is signed, behind what readers of PDF show.
func (p ExamPaper) stated(d *doc) ([]byte, error) {
	var out bytes.Buffer
	if err := d.Output(&out); err != nil {
		return nil, err
	}
	stated, err := json.Marshal(Stated{p.Exam.Task.Name, p.Number, p.Head})
	if err != nil {
		return nil, err
	}
	fmt.Fprintf(&out, "\n%s%s\n", statedMark, stated)
	return out.Bytes(), nil
}

// StatedIn is what the content of a signed certificate states.
func StatedIn(content []byte) (s Stated, found bool) {
	i := bytes.LastIndex(content, []byte("\n"+statedMark))
	if i < 0 {
		return s, false
	}
	text, _, _ := strings.Cut(string(content[i+1+len(statedMark):]), "\n")
	return s, json.Unmarshal([]byte(text), &s) == nil
}

// Outcome is the key of the word for a result.
func Outcome(r exam.Result) string {
	if r.Passes {
		return "exam-passed"
	}
	return "exam-not-passed"
}

// says is the task, the result with its interval, and what it rests on.
func (p ExamPaper) says(r exam.Result) []phrase.Text {
	t := p.Exam.Task
	out := []phrase.Text{phrase.Named("exam-task-is", p.Ticket.SpeciesIn(p.Words.Tag()), p.Ticket.Standard.Name).With(float64(t.Trays), float64(t.Slices), t.Minutes)}
	out = append(out, ExamSays(p.Exam, r)...)
	return append(out, ExamRests(p.Exam)...)
}

// ExamSays is a result in words: the count against the pass mark, the interval, and
// the confidence.
func ExamSays(e *exam.Exam, r exam.Result) []phrase.Text {
	share := 0.0
	if r.Of > 0 {
		share = float64(r.Good) / float64(r.Of)
	}
	confidence := phrase.Named("exam-confidence", Confidence(r.Above))
	if e.Closing != nil && e.Closing.Design > 0 {
		confidence = phrase.Named("exam-confidence-trays", Confidence(r.Above)).With(e.Closing.Design)
	}
	return []phrase.Text{
		phrase.Of("exam-count", float64(r.Good), float64(r.Of), 100*share, 100*e.Task.Mark),
		phrase.Of("exam-interval", 100*r.Low, 100*r.High),
		confidence,
	}
}

// Confidence is one for reading, never rounded up: 99.96 % is no 100.
func Confidence(share float64) string {
	percent := math.Floor(share*1000+1e-9) / 10
	if percent > 99 {
		return uncertainty.Decimal(percent, 1) + " %"
	}
	return uncertainty.Decimal(math.Floor(percent+1e-9), 0) + " %"
}

// ExamRests is what all results of an exam rest on: the instructors, how far they
// agree, and how far phone and mat repeat themselves.
func ExamRests(e *exam.Exam) []phrase.Text {
	var out []phrase.Text
	switch len(e.Judges) {
	case 0:
		out = append(out, phrase.Of("exam-judges-none"))
	case 1:
		out = append(out, phrase.Named("exam-judges-one", e.Judges...))
	default:
		out = append(out, phrase.Named("exam-judges-two", e.Judges...))
	}
	if n := e.Unjudged(); n > 0 {
		out = append(out, phrase.Of("exam-unjudged", float64(n)))
	}
	if a := e.Closing.Agreement; a != nil {
		agreed := phrase.Of("exam-same", float64(a.Same), float64(a.Pieces))
		if a.Known {
			agreed = agreed.And(phrase.Of("exam-kappa", a.Kappa, a.Low, a.High))
		} else {
			agreed = agreed.And(phrase.Of("exam-kappa-none"))
		}
		out = append(out, agreed)
	}
	if r := e.Closing.Repeat; r != nil {
		return append(out, phrase.Named("repeat-done", r.DoneAt.Format("2006-01-02")).With(float64(r.Photos), float64(r.Slices), r.Length, r.Width))
	}
	return append(out, phrase.Of("repeat-none"))
}
