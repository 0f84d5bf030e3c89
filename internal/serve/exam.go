package serve

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/repeat"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/handout"
)

// examsData fills the page of all exams.
type examsData struct {
	Exams    []book.Listed
	More     int64 // how many to skip for the next ones, 0 for none
	Names    []string
	Species  []string
	Form     map[string]string // as entered
	Complain string
}

// shownExams is how many exams a page lists.
const shownExams = 20

func (s *Server) exams(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return s.showExams(w, r, http.StatusOK, examsData{Form: map[string]string{"trays": "3", "slices": "10", "minutes": "30", "mark": "80"}})
}

func (s *Server) showExams(w http.ResponseWriter, r *http.Request, status int, data examsData) error {
	from := number(r, "from")
	var err error
	if data.Exams, err = s.Folder.Book().Exams(r.Context(), int(from), shownExams+1); err != nil {
		return err
	}
	if len(data.Exams) > shownExams {
		data.Exams, data.More = data.Exams[:shownExams], from+shownExams
	}
	roster, err := s.readRoster(r.Context())
	if err != nil {
		return err
	}
	data.Names, data.Species = roster.Names(), species()
	return s.show(w, r, status, "exams", page{Title: "exams-title", Here: "exams", Data: data})
}

// setUpExam seals a task, and draws a number for everybody who is to take it.
func (s *Server) setUpExam(w http.ResponseWriter, r *http.Request, who account.Session) error {
	form := map[string]string{}
	for _, f := range []string{"name", "species", "thickness", "trays", "slices", "minutes", "mark"} {
		form[f] = strings.TrimSpace(r.PostFormValue(f))
	}
	id, err := s.sealed(r, who, form)
	switch says, ok := phrase.In(s.language(r), err); {
	case err == nil:
		return redirect(w, r, examPath(id))
	case ok:
		return s.showExams(w, r, http.StatusUnprocessableEntity, examsData{Form: form, Complain: capital(says)})
	}
	return err
}

func examPath(id int64) string { return fmt.Sprintf("/exams/%d", id) }

func (s *Server) sealed(r *http.Request, who account.Session, form map[string]string) (int64, error) {
	roster, err := s.readRoster(r.Context())
	if err != nil {
		return 0, err
	}
	var names []string
	for _, name := range r.PostForm["who"] {
		if slices.Contains(roster.Names(), name) && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	house, err := s.house(r.Context())
	if err != nil {
		return 0, err
	}
	told := ticket.Ticket{Standard: house}
	if err := enter(&told, map[string]string{"species": form["species"], "thickness": form["thickness"]}); err != nil {
		return 0, err
	}
	number := func(field string) float64 { return typedNumber(strings.TrimRight(form[field], "%％")) }
	task := exam.Task{Name: form["name"], Trays: whole(number("trays")), Slices: whole(number("slices")), Minutes: number("minutes"), Mark: number("mark") / 100}
	return s.Folder.Book().SealExam(r.Context(), task, told, who.Who, names)
}

// examIn finds the exam that a request names.
func (s *Server) examIn(r *http.Request) (id int64, e *exam.Exam, record []exam.Entry, err error) {
	if id, err = strconv.ParseInt(r.PathValue("id"), 10, 64); err != nil {
		return 0, nil, nil, errNotFound
	}
	if e, record, err = s.Folder.Book().Exam(r.Context(), id); errors.Is(err, book.ErrNoExam) {
		err = errNotFound
	}
	return id, e, record, err
}

// examData fills the page of one exam, for instructors.
type examData struct {
	ID     int64
	Exam   *exam.Exam
	Job    ticket.Ticket
	Ends   time.Time
	Rows   []examRow
	InHand int // photos that are still measured
	Rests  []phrase.Text
	Head   string
}

// examRow is a candidate: the number, and the name once the exam is closed.
type examRow struct {
	Number int
	Name   string
	Trays  []examTray
	Result *exam.Result
}

// examTray is the place of a tray: what came, and whether this instructor has judged it.
type examTray struct {
	exam.Tray
	There, Mine, Late bool
}

func (s *Server) exam(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, e, record, err := s.examIn(r)
	if err != nil {
		return err
	}
	data := examData{ID: id, Exam: e, Ends: e.Ends(), Head: record[len(record)-1].Hash}
	if data.Job, err = s.examJob(r.Context(), e); err == nil {
		data.InHand, err = s.examInHand(r.Context(), e)
	}
	if err == nil {
		data.Rows, err = s.examRows(r.Context(), id, e, who.Who)
	}
	if err != nil {
		return err
	}
	if e.Closing != nil {
		data.Rests = handout.ExamRests(e)
	}
	if r.URL.Query().Has("live") {
		return s.live(w, r, "exam", false, data)
	}
	p := page{Title: e.Task.Name, Here: "exams", Back: "/exams", Data: data}
	if !e.Begun.IsZero() && e.Closing == nil {
		p.Refresh, p.Live = 10, examPath(id)+"?live"
	}
	return s.show(w, r, http.StatusOK, "exam", p)
}

// examJob is the ticket that an exam's seal stands for.
func (s *Server) examJob(ctx context.Context, e *exam.Exam) (ticket.Ticket, error) {
	return s.Folder.Book().TicketBy(ctx, e.Task.Ticket)
}

// examInHand is how many of its photos are not measured yet.
func (s *Server) examInHand(ctx context.Context, e *exam.Exam) (int, error) {
	if e.Begun.IsZero() || e.Closing != nil {
		return 0, nil
	}
	shots, err := s.Folder.List(ctx, intake.Filter{Kind: intake.Exam, Session: e.Task.Name, States: []intake.State{intake.Waiting, intake.Measuring}})
	return len(shots), err
}

func (s *Server) examRows(ctx context.Context, id int64, e *exam.Exam, who string) (out []examRow, err error) {
	names := map[int]string{}
	if e.Closing != nil {
		if names, err = s.Folder.Book().ExamNames(ctx, id, e); err != nil {
			return nil, err
		}
	}
	for _, number := range e.Numbers {
		row := examRow{Number: number, Name: names[number]}
		for place := range e.Task.Trays {
			t, there := e.Tray(number, place+1)
			t.Number, t.Place = number, place+1
			row.Trays = append(row.Trays, examTray{t, there, t.Words[who] != nil, t.Late && t.Allowed == ""})
		}
		if r, ok := e.Result(number); ok {
			row.Result = &r
		}
		out = append(out, row)
	}
	return out, nil
}

// examDo does an act and goes back to the exam's page, or says why it cannot be done.
func (s *Server) examDo(w http.ResponseWriter, r *http.Request, id int64, back string, next func(*exam.Exam) (exam.Act, error)) error {
	if err := s.Folder.Book().ExamAct(r.Context(), id, next); err != nil {
		return inWords(s.language(r), http.StatusConflict, "exam-not-done", err)
	}
	return redirect(w, r, back)
}

func (s *Server) beginExam(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, e, _, err := s.examIn(r)
	if err != nil {
		return err
	}
	job, err := s.examJob(r.Context(), e)
	if err == nil { // from now on its photos are received
		err = s.Folder.SetSession(r.Context(), intake.Session{Kind: intake.Exam, Name: e.Task.Name, Ticket: job})
	}
	if err != nil {
		return err
	}
	return s.examDo(w, r, id, examPath(id), func(*exam.Exam) (exam.Act, error) { return exam.Act{Kind: exam.Begun, By: who.Who}, nil })
}

// askClose asks before the results stand, and says what is missing.
func (s *Server) askClose(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	id, e, _, err := s.examIn(r)
	if err != nil {
		return err
	}
	text := s.language(r).Word("exam-close-text")
	if n := e.Unjudged(); n > 0 {
		text = s.language(r).Word("exam-unjudged", float64(n)) + " " + text
	}
	return s.show(w, r, http.StatusOK, "sure", page{Title: "exam-close", Here: "exams", Back: examPath(id),
		Data: sureData{Text: text, Action: examPath(id) + "/close", Do: "exam-close", Not: examPath(id)}})
}

func (s *Server) closeExam(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, e, _, err := s.examIn(r)
	if err != nil {
		return err
	}
	waiting, err := s.examInHand(r.Context(), e)
	if err != nil {
		return err
	}
	if waiting > 0 {
		return said(http.StatusConflict, "exam-not-done", s.language(r).Word("exam-in-hand", float64(waiting)))
	}
	key, err := s.signet(r.Context())
	if err != nil {
		return err
	}
	last, done, err := s.Folder.Book().LastRepeat(r.Context())
	if err != nil {
		return err
	}
	return s.examDo(w, r, id, examPath(id), func(e *exam.Exam) (exam.Act, error) {
		result := e.Results()
		result.Key = key.Public()
		if done {
			limit := func(m *piece.Measure) float64 { return repeat.Limit(last.SD[m.Column()]) }
			result.Repeat = &exam.Repeat{DoneAt: last.DoneAt, Photos: last.Photos, Slices: last.Slices, Length: limit(piece.Length), Width: limit(piece.Width)}
		}
		return exam.Act{Kind: exam.Closed, By: who.Who, Result: &result}, nil
	})
}
