package serve

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/handout"
)

// sitData fills the page of a candidate.
type sitData struct {
	Unnamed bool // wants no name kept, and an exam needs one
	Limited bool // came by the class code, by which anybody may take a name
	There   bool // takes part in an exam
	Number  int
	Exam    *exam.Exam
	Job     ticket.Ticket
	Open    bool // photos are taken
	Over    bool // the minutes are
	Ends    time.Time
	Places  []sitPlace
	Outcome string // key; empty before the end
	Says    []phrase.Text
}

// sitPlace is one of the trays to send.
type sitPlace struct {
	Place int
	State intake.State // empty where nothing was sent
	Why   problemWords // of one that was refused or failed
}

// sitting is the latest exam that a trainee takes part in.
func (s *Server) sitting(ctx context.Context, who account.Session) (id int64, number int, e *exam.Exam, record []exam.Entry, err error) {
	if who.Limited || !who.Named() {
		return 0, 0, nil, nil, nil
	}
	id, number, found, err := s.Folder.Book().ExamOf(ctx, who.Who)
	if err != nil || !found {
		return 0, 0, nil, nil, err
	}
	e, record, err = s.Folder.Book().Exam(ctx, id)
	return id, number, e, record, err
}

func (s *Server) sit(w http.ResponseWriter, r *http.Request, who account.Session) error {
	data, err := s.sitNow(r.Context(), s.language(r), who)
	if err != nil {
		return err
	}
	if r.URL.Query().Has("live") {
		return s.live(w, r, "sit", false, data)
	}
	p := page{Title: "exam-title", Here: "exam", Data: data}
	if data.There && data.Exam.Closing == nil {
		p.Refresh, p.Live = 5, "/exam?live"
	}
	return s.show(w, r, http.StatusOK, "sit", p)
}

func (s *Server) sitNow(ctx context.Context, l lang, who account.Session) (data sitData, err error) {
	data.Limited, data.Unnamed = who.Limited, !who.Named()
	_, data.Number, data.Exam, _, err = s.sitting(ctx, who)
	if err != nil || data.Exam == nil {
		return data, err
	}
	e := data.Exam
	data.There, data.Open, data.Ends = true, !e.Begun.IsZero() && e.Closing == nil, e.Ends()
	data.Over = data.Open && time.Now().After(data.Ends)
	if data.Job, err = s.examJob(ctx, e); err != nil {
		return data, err
	}
	if result, ok := e.Result(data.Number); ok {
		data.Outcome = handout.Outcome(result)
		data.Says = append(handout.ExamSays(e, result), handout.ExamRests(e)...)
		return data, nil
	}
	shots, err := s.Folder.List(ctx, intake.Filter{Owner: owner(who), Kind: intake.Exam, Session: e.Task.Name})
	if err != nil {
		return data, err
	}
	for place := range e.Task.Trays {
		data.Places = append(data.Places, sitPlace{Place: place + 1})
	}
	for _, x := range shots { // the last of a place stands
		p := &data.Places[x.Place-1]
		p.State, p.Why = x.State, problemWords{}
		if x.State == intake.Refused || x.State == intake.Failed {
			p.Why = failureOf(l, x)
		}
	}
	return data, nil
}

// sendExamTray takes in the photo of one of a candidate's trays, under the number.
func (s *Server) sendExamTray(w http.ResponseWriter, r *http.Request, who account.Session) error {
	f, err := s.photoForm(w, r, who)
	if err != nil {
		return err
	}
	_, number, e, _, err := s.sitting(r.Context(), who)
	place, _ := strconv.Atoi(f.fields["place"])
	switch {
	case err != nil:
		return err
	case e == nil || place < 1 || place > e.Task.Trays:
		return errNotFound
	case e.Begun.IsZero():
		return s.refused(r, exam.ErrNotBegun)
	case e.Closing != nil:
		return s.refused(r, exam.ErrClosed)
	}
	return s.takeExamTray(w, r, who, number, place, e, f)
}

func (s *Server) takeExamTray(w http.ResponseWriter, r *http.Request, who account.Session, number, place int, e *exam.Exam, f sent) error {
	told, err := s.examJob(r.Context(), e)
	if err == nil {
		told, err = s.ticket(r.Context(), intake.Session{Ticket: told})
	}
	if err != nil {
		return err
	}
	_, err = s.Folder.Receive(r.Context(), intake.Shot{Owner: owner(who), Who: strconv.Itoa(number), Kind: intake.Exam, Session: e.Task.Name, Place: place, Ticket: told, Name: f.name}, f.photo)
	if err != nil {
		return s.refused(r, err)
	}
	return redirect(w, r, "/exam")
}

func (s *Server) ownCertificate(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, number, e, record, err := s.sitting(r.Context(), who)
	switch {
	case err != nil:
		return err
	case e == nil || e.Closing == nil:
		return errNotFound
	}
	return s.sendCertificate(w, r, id, e, record, number)
}
