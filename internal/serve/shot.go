package serve

import (
	"context"
	"errors"
	"net/http"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// maySee is the one rule of who sees which photo: an instructor all, a chef the
// line's, a trainee the own ones, and by class code only those sent from there. One of
// an exam shows on the exam's own pages alone, which tell no name and no measurement
// before it is closed.
func (s *Server) maySee(ctx context.Context, who account.Session, x intake.Shot) (bool, error) {
	if x.Kind == intake.Exam {
		return false, nil
	}
	switch who.Role {
	case account.Instructor:
		return true, nil
	case account.Chef:
		return x.Kind == intake.Line, nil
	}
	switch x.Owner {
	case unnamed(who):
		return true, nil
	case traineeOwner(who.Who):
	default:
		return false, nil
	}
	if !who.Limited {
		return true, nil
	}
	return s.Accounts.HasSent(ctx, who, x.ID)
}

// visible finds the photo a request names; errNotFound whether there is none or it is
// another's.
func (s *Server) visible(r *http.Request, who account.Session) (x intake.Shot, err error) {
	may := false
	if x, err = s.Folder.Shot(r.Context(), r.PathValue("id")); err == nil {
		may, err = s.maySee(r.Context(), who, x)
	}
	if errors.Is(err, intake.ErrUnknown) || err == nil && !may {
		err = errNotFound
	}
	return x, err
}

// withResult is a visible photo that has a result; as for a hidden one, errNotFound
// without.
func (s *Server) withResult(r *http.Request, who account.Session) (x intake.Shot, err error) {
	if x, err = s.visible(r, who); err == nil && x.Result == 0 {
		err = errNotFound
	}
	return x, err
}

// trayOf is a measured photo with what people decided about it.
func (s *Server) trayOf(ctx context.Context, x intake.Shot) (grade.Tray, error) {
	report, err := s.Folder.Book().Report(ctx, x.Result)
	if err != nil {
		return grade.Tray{}, err
	}
	overrides, err := s.overrides(ctx, x, report.Pieces)
	return grade.Tray{File: x.Name, Report: report, Overrides: overrides}, err
}

// overrides are by a piece's number. One that fits no piece any more counts for
// none; the class board warns of it.
func (s *Server) overrides(ctx context.Context, x intake.Shot, pieces []piece.Piece) (map[int]piece.Override, error) {
	all, err := s.Folder.Book().Overrides(ctx, x.Hash)
	if err != nil {
		return nil, err
	}
	out, _ := grade.Overrides(pieces, all)
	return out, nil
}

// shotData fills the page of one photo.
type shotData struct {
	Shot    intake.Shot
	Back    string // where the next photo is taken
	Next    string // class that it goes to straight from here; empty where it does not
	Teacher bool
	Ahead   int
	Why     problemWords // of a photo refused or failed
	Result  *resultData
	Second  *secondData
	Species []string
	Guessed *guessedData // what the trainee guessed before
	Cold    *coldData    // of a tray that still lies there
	Beside  *besideData  // the tray over the reference; nil where there is none
	Refer   *referData   // for who teaches
}

func (s *Server) shot(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.visible(r, who)
	if err != nil {
		return err
	}
	first, err := s.toGuess(r, who, x)
	if err != nil {
		return err
	}
	if first != nil {
		return s.show(w, r, http.StatusOK, "first", page{Title: s.language(r).Word("result-title", x.Number), Here: "tray", Own: true, Back: "/tray", Data: first})
	}
	data := shotData{Shot: x, Back: "/tray", Teacher: who.Role == account.Instructor, Species: species()}
	if x.Kind == intake.Line {
		data.Back = "/line"
	} else if data.Teacher {
		data.Back = "/class"
	}
	err = s.fillShot(r, who, &data)
	if err != nil {
		return err
	}
	if x.State == intake.Failed || x.State == intake.Refused || x.Code == intake.CodeEntered {
		data.Why = failureOf(s.language(r), x)
	}
	data.Second = secondOf(x, data.Result, r.URL.Query().Get("second"))
	if r.URL.Query().Has("live") {
		return s.live(w, r, "shot", x.Done(), data)
	}
	p := page{Title: s.language(r).Word("result-title", x.Number), Here: "tray", Own: true, Back: data.Back, Data: data}
	if !x.Done() {
		p.Refresh, p.Live = 3, "/shots/"+x.ID+"?live"
	}
	return s.show(w, r, http.StatusOK, "shot", p)
}

// fillShot adds what is known of a photo so far, and where the next one goes.
func (s *Server) fillShot(r *http.Request, who account.Session, data *shotData) (err error) {
	x := data.Shot
	if !x.Done() {
		data.Ahead, err = s.Folder.Ahead(r.Context(), x)
	}
	if err == nil && x.Result != 0 {
		data.Result, err = s.result(r.Context(), s.language(r), who, x)
	}
	if err == nil && x.Result != 0 {
		data.Guessed, err = s.guessedOf(r.Context(), who, x)
	}
	if err == nil && x.Result != 0 {
		data.Beside, data.Refer, err = s.besides(r.Context(), who, x)
	}
	if err != nil || who.Role != account.Trainee {
		return err
	}
	data.Cold = coldOf(x.Received, time.Now())
	if x.Done() {
		var open intake.Session
		open, _, err = s.openedClass(r.Context())
		data.Next = open.Name
	}
	return err
}

// picture sends the drawn picture, never the photo.
func (s *Server) picture(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.withResult(r, who)
	if err != nil {
		return err
	}
	jpeg, err := s.Folder.Book().Picture(r.Context(), x.Result)
	return sendJPEG(w, jpeg, err)
}

// sendJPEG sends a picture, if there is one.
func sendJPEG(w http.ResponseWriter, jpeg []byte, err error) error {
	if err == nil && len(jpeg) == 0 {
		err = errNotFound
	}
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Write(jpeg)
	return nil
}
