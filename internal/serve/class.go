package serve

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"netagauge/internal/judge/coach"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/intake"
)

// classData fills the class board.
type classData struct {
	Open     bool
	Class    intake.Session
	Code     string
	Board    board.Board
	Rows     []boardRow
	Needs    []needRow   // whom the teacher visits now, the most urgent first
	Fine     []needRow   // who does well
	Lesson   *lessonData // for everybody; nil where no fault is shared
	Absent   []string
	Uncount  []board.Open
	InHand   int
	Renewal  intake.Renewal // photos measured anew
	Latest   []shotLine
	All      bool     // Latest are a page of all of the class
	Before   int64    // photo before which there are more, 0 for none
	Live     string   // query of the part that changes
	Classes  []string // names of classes that are not open, a page of them
	From     int64    // how many of them come before
	More     int64    // how many to skip for the next ones, 0 for none
	Species  []string
	Today    string
	Complain string // what was wrong with the form

	Given     *taskData // nil where the class has no task
	Reference string    // ID of the reference tray's shot, empty for none
}

// boardRow is a trainee on the board.
type boardRow struct {
	board.Trainee
	Percent *float64
	Change  *float64
}

func (s *Server) class(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return s.showClass(w, r, http.StatusOK, "")
}

func (s *Server) showClass(w http.ResponseWriter, r *http.Request, status int, complain string) error {
	data, err := s.classNow(r.Context(), r)
	if err != nil {
		return err
	}
	data.Complain = complain
	if r.URL.Query().Has("live") {
		return s.live(w, r, "class", false, data)
	}
	return s.show(w, r, status, "class", page{Title: "board-title", Here: "class", Refresh: 10, Live: "/class?live" + data.Live, Data: data})
}

func (s *Server) classNow(ctx context.Context, r *http.Request) (data classData, err error) {
	data.Species, data.Today, data.All = species(), day(time.Now()), r.URL.Query().Has("all")
	if data.Code, err = s.Accounts.ClassCode(ctx); err != nil {
		return data, err
	}
	if data.Class, data.Open, err = s.openedClass(ctx); err != nil {
		return data, err
	}
	if err := s.earlier(ctx, &data, number(r, "classes")); err != nil || !data.Open {
		return data, err
	}
	if data.Board, err = s.board(ctx, data.Class.Name); err != nil {
		return data, err
	}
	l := s.language(r)
	data.summed(l)
	if data.Needs, data.Fine, err = s.needs(ctx, l, data.Class.Name, data.Board); err != nil {
		return data, err
	}
	roster, err := s.readRoster(ctx)
	if err != nil {
		return data, err
	}
	data.Absent = data.Board.Missing(roster.Names())
	a, err := s.Folder.Book().Assignment(ctx, data.Class.Name)
	if err != nil {
		return data, err
	}
	data.Reference = a.Reference
	if a.Task != nil {
		given := taskDataOf(l, *a.Task)
		data.Given = &given
	}
	if data.InHand, err = s.Folder.Waiting(ctx); err != nil {
		return data, err
	}
	if data.Renewal, err = s.Folder.Renewal(ctx, data.Class.Name); err != nil {
		return data, err
	}
	return data, s.latest(ctx, &data, number(r, "before"))
}

// summed is what the board says of everybody.
func (data *classData) summed(l lang) {
	for _, t := range data.Board.Trainees {
		row := boardRow{Trainee: t}
		if p, graded := t.Grade.Percent(); graded {
			row.Percent = &p
		}
		if c, known := t.Trend(); known {
			row.Change = &c
		}
		data.Rows = append(data.Rows, row)
	}
	if len(data.Board.Faults) > 0 {
		data.Lesson = wordedLesson(l, coach.Lesson{Key: string(data.Board.Faults[0].Fault)})
	}
	data.Uncount = data.Board.Open
}

// shownClasses is how many classes the page offers to open again.
const shownClasses = 20

// earlier are the classes that are not open, the latest first, from one on.
func (s *Server) earlier(ctx context.Context, data *classData, from int64) (err error) {
	data.From = from
	data.Classes, err = s.Folder.ClassNames(ctx, data.Class.Name, int(from), shownClasses+1)
	if len(data.Classes) > shownClasses {
		data.Classes, data.More = data.Classes[:shownClasses], from+shownClasses
	}
	return err
}

// shownLatest is how many photos the board lists, shownAll how many a page of all.
const shownLatest, shownAll = 12, 60

func (s *Server) latest(ctx context.Context, data *classData, before int64) error {
	which := intake.Filter{Kind: intake.Class, Session: data.Class.Name, Last: shownLatest}
	if data.All {
		which.Last, which.Before = shownAll+1, before
		data.Live = fmt.Sprintf("&all&before=%d", before)
	}
	shots, err := s.Folder.List(ctx, which)
	if err != nil {
		return err
	}
	slices.Reverse(shots)
	if len(shots) > shownAll {
		shots = shots[:shownAll]
		data.Before = shots[shownAll-1].Number
	}
	count := counts(data.Board)
	for _, x := range shots {
		data.Latest = append(data.Latest, shotLine{ID: x.ID, Number: x.Number, Who: x.Who, State: x.State, At: x.Received, Count: count[x.Result]})
	}
	return nil
}

func formFields(r *http.Request) map[string]string {
	return map[string]string{
		"species": strings.TrimSpace(r.PostFormValue("species")), "thickness": r.PostFormValue("thickness"), "tray-weight": r.PostFormValue("tray-weight"),
		"block-height": r.PostFormValue("block-height"), "block-width": r.PostFormValue("block-width"),
	}
}
