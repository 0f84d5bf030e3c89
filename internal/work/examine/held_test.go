package examine

import (
	"errors"
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/tell/handout"
)

// closed is an exam of two candidates, as it is read from its record.
func closed() Held {
	return Held{
		Name: "Autumn",
		Exam: &exam.Exam{Task: exam.Task{Name: "Autumn"}, Closing: &exam.Closing{Key: "key", Results: []exam.Result{
			{Number: 417, Good: 9, Of: 10, Passes: true}, {Number: 502, Good: 4, Of: 10}}}},
		Record: []exam.Entry{{Hash: "first"}, {Hash: "last"}},
	}
}

// A certificate holds only by the last hash of the record, by the key that the exam was
// closed with, and for a number that has a result.
func TestCertificateAgainstRecord(t *testing.T) {
	open, broken := closed(), closed()
	open.Exam.Closing, broken.Wrong = nil, errors.New("an act was changed")
	right := handout.Stated{Exam: "Autumn", Number: 417, Head: "last"}
	for name, c := range map[string]struct {
		held   Held
		stated handout.Stated
		by     string
		want   string
	}{
		"as it was":       {closed(), right, "key", "paper-holds"},
		"another key":     {closed(), right, "other", "paper-other-key"},
		"no key":          {closed(), right, "", "paper-other-key"},
		"a new record":    {closed(), handout.Stated{Exam: "Autumn", Number: 417, Head: "first"}, "key", "paper-other-head"},
		"another number":  {closed(), handout.Stated{Exam: "Autumn", Number: 418, Head: "last"}, "key", "paper-no-result"},
		"not closed yet":  {open, right, "key", "paper-no-result"},
		"a broken record": {broken, right, "key", "paper-record-wrong"},
	} {
		says, holds := c.held.agrees(c.stated, c.by)
		if says.Keys() != c.want || holds != (c.want == "paper-holds") {
			t.Errorf("%s: %q, %v; want %q", name, says.Keys(), holds, c.want)
		}
	}
	says, _ := closed().agrees(right, "key")
	if got := phrase.English().Must(says); !strings.Contains(got, "number 417 of the exam Autumn, 9 of 10 slices good") {
		t.Error(got)
	}
	says, _ = closed().agrees(handout.Stated{Exam: "Autumn", Number: 502, Head: "last"}, "key")
	if passed, failed := phrase.English().Word("exam-passed"), phrase.English().Word("exam-not-passed"); passed == failed || !strings.Contains(phrase.English().Must(says), failed) {
		t.Errorf("who did not pass: %q", phrase.English().Must(says))
	}
}

// What a record says of itself: one of two passed, behind the last hash.
func TestRecordSays(t *testing.T) {
	if got := phrase.English().Must(closed().Says(phrase.English())); !strings.Contains(got, "1 of 2") || !strings.Contains(got, "last") {
		t.Error(got)
	}
}
