package serve

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
)

// examTrayData fills the page where an instructor judges a tray. While the exam runs
// it tells neither whose the tray is, nor what was measured, nor what the other says.
type examTrayData struct {
	Exam   *exam.Exam
	Path   string // of this page
	Tray   exam.Tray
	View   string
	Pieces []examPiece
	Kinds  []kindData
	May    bool // judge it
	Late   bool
	Closed bool
}

// examPiece is a piece to judge; what counts, and why, only once the exam is closed.
type examPiece struct {
	Number                int
	Picture               *slicePicture
	Says                  string // of this instructor
	First, Second, Counts string // keys of words
	Measured              string
}

// examKinds are the choices, with the keys of their words.
var examKinds = []kindData{{piece.SaidGood, "override-good"}, {piece.SaidAgain, "override-again"}, {piece.NotASlice, "override-not"}}

func wordKey(kind string) string {
	for _, k := range examKinds {
		if k.Kind == kind {
			return k.Key
		}
	}
	return "no-data"
}

// examTrayIn finds the tray that a request names.
func (s *Server) examTrayIn(r *http.Request) (id int64, e *exam.Exam, t exam.Tray, err error) {
	if id, e, _, err = s.examIn(r); err != nil {
		return id, e, t, err
	}
	number, err1 := strconv.Atoi(r.PathValue("number"))
	place, err2 := strconv.Atoi(r.PathValue("place"))
	t, there := e.Tray(number, place)
	if err1 != nil || err2 != nil || !there {
		err = errNotFound
	}
	return id, e, t, err
}

func examTrayPath(id int64, t exam.Tray) string {
	return fmt.Sprintf("/exams/%d/trays/%d/%d", id, t.Number, t.Place)
}

func (s *Server) examTray(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, e, t, err := s.examTrayIn(r)
	if err != nil {
		return err
	}
	report, err := s.Folder.Book().Report(r.Context(), t.Result)
	if err != nil {
		return err
	}
	viewed, err := s.Folder.Book().Viewed(r.Context(), t.Result)
	if err != nil {
		return err
	}
	data := examTrayData{Exam: e, Path: examTrayPath(id, t), Tray: t, Kinds: examKinds, May: e.Closing == nil && e.MayJudge(who.Who), Late: t.Late && t.Allowed == "", Closed: e.Closing != nil}
	data.View = fmt.Sprintf("%s/view?r=%d", data.Path, t.Result)
	for i, p := range report.Pieces {
		one := examPiece{Number: p.Number, Says: t.Words[who.Who][p.Number], Picture: enlarged(report, p, data.View, viewed, standard.Standard{})}
		if one.Picture != nil {
			one.Picture.Aim = "" // what was measured is not to show
		}
		if data.Closed {
			first, second := e.Both(t, p.Number)
			one.First, one.Second, one.Counts = wordKey(first), wordKey(second), wordKey(e.Says(t, t.Pieces[i]))
			one.Measured = "not-counted"
			if p.Verdict != "" {
				one.Measured = "verdict-" + string(p.Verdict)
			}
		}
		data.Pieces = append(data.Pieces, one)
	}
	title := s.language(r).Word("exam-tray-of", float64(t.Number), float64(t.Place))
	return s.show(w, r, http.StatusOK, "examtray", page{Title: title, Here: "exams", Back: examPath(id), Data: data})
}

// judgeTray keeps what an instructor says of every piece of a tray.
func (s *Server) judgeTray(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, _, t, err := s.examTrayIn(r)
	if err != nil {
		return err
	}
	words := map[int]string{}
	for _, p := range t.Pieces {
		if said := r.PostFormValue(fmt.Sprint("piece-", p.Piece)); said != "" {
			words[p.Piece] = said
		}
	}
	photo := r.PostFormValue("photo")
	return s.examDo(w, r, id, examPath(id), func(*exam.Exam) (exam.Act, error) {
		return exam.Act{Kind: exam.Judged, By: who.Who, Number: t.Number, Place: t.Place, Photo: photo, Words: words}, nil
	})
}

// allowTray lets a tray count that came late, with the reason.
func (s *Server) allowTray(w http.ResponseWriter, r *http.Request, who account.Session) error {
	id, _, t, err := s.examTrayIn(r)
	if err != nil {
		return err
	}
	return s.examDo(w, r, id, examTrayPath(id, t), func(*exam.Exam) (exam.Act, error) {
		return exam.Act{Kind: exam.Allowed, By: who.Who, Number: t.Number, Place: t.Place, Photo: t.Photo, Reason: strings.TrimSpace(r.PostFormValue("reason"))}, nil
	})
}

// examView sends a tray's field as the photo shows it.
func (s *Server) examView(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	_, _, t, err := s.examTrayIn(r)
	if err != nil {
		return err
	}
	return s.sendView(w, r, t.Result)
}
