package serve

import (
	"context"
	"fmt"
	"net/http"
	"strconv"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/settings"
	"netagauge/internal/keep/signet"
	"netagauge/internal/tell/handout"
)

// signet is the kitchen's key; it is made for the first exam that is closed.
func (s *Server) signet(ctx context.Context) (*signet.Key, error) {
	return signet.Open(ctx, s.Settings)
}

// examRecord sends the record as it is kept, for whoever wants to hold certificates
// against it.
func (s *Server) examRecord(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	_, e, record, err := s.examIn(r)
	if err != nil {
		return err
	}
	if e.Closing == nil {
		return errNotFound
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Disposition", `attachment; filename="exam-record.json"`)
	exam.WriteRecord(w, record) // a browser that is gone needs nothing more
	return nil
}

// examCertificate sends a candidate's certificate to an instructor.
func (s *Server) examCertificate(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	id, e, record, err := s.examIn(r)
	if err != nil {
		return err
	}
	number, err := strconv.Atoi(r.PathValue("number"))
	if _, there := e.Result(number); err != nil || !there {
		return errNotFound
	}
	return s.sendCertificate(w, r, id, e, record, number)
}

func (s *Server) sendCertificate(w http.ResponseWriter, r *http.Request, id int64, e *exam.Exam, record []exam.Entry, number int) error {
	key, err := s.signet(r.Context())
	if err == nil && key.Public() != e.Closing.Key {
		err = phrase.Wrong("signet-other", settings.Signet, e.Task.Name)
	}
	var names map[int]string
	if err == nil {
		names, err = s.Folder.Book().ExamNames(r.Context(), id, e)
	}
	var job ticket.Ticket
	if err == nil {
		job, err = s.examJob(r.Context(), e)
	}
	var pdf []byte
	if err == nil {
		pdf, err = handout.ExamPaper{Exam: e, Ticket: job, Number: number, Name: names[number], Head: record[len(record)-1].Hash, Words: s.language(r)}.PDF()
	}
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="exam-%d.pdf"`, number))
	w.Write(key.Sign(pdf))
	return nil
}
