package examine

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/signet"
	"netagauge/internal/tell/handout"
	"netagauge/internal/tell/report"
)

// Paper says whether a certificate is as it was signed, and agrees with the record of
// its exam. The error is only of a file that cannot be read.
func Paper(path string, exams []Held) (says phrase.Text, holds bool, err error) {
	pdf, err := os.ReadFile(path)
	if err != nil {
		return nil, false, err
	}
	content, by, err := signet.Signed(pdf)
	if err != nil {
		return phrase.Telling(err), false, nil
	}
	stated, found := handout.StatedIn(content)
	if !found {
		return phrase.Of("paper-of-nothing"), false, nil
	}
	for _, h := range exams {
		if h.Exam != nil && h.Exam.Task.Name == stated.Exam {
			says, holds = h.agrees(stated, by)
			return says, holds, nil
		}
	}
	return phrase.Named("paper-of-another", report.Printable(stated.Exam)), false, nil
}

// WriteRecords puts the records of closed exams, the latest first, into a folder, as
// their pages give them out.
func WriteRecords(folder string, exams []Held) error {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	for i, h := range exams {
		if !h.Closed() {
			continue
		}
		var text bytes.Buffer
		if err := exam.WriteRecord(&text, h.Record); err != nil {
			return err
		}
		if err := atomicfile.WritePrivate(filepath.Join(folder, fmt.Sprintf("exam-%d.json", len(exams)-i)), text.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
