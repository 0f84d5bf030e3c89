package serve

import (
	"context"
	"errors"
	"net/http"
	"time"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/keeping"
	"netagauge/internal/keep/settings"
)

// dates are the pages of how long what is kept.
func (s *Server) dates(m *http.ServeMux) {
	teacher := s.only(account.Instructor)
	m.Handle("GET /people/keeping", teacher(s.keepingNow))
	m.Handle("POST /people/keeping", teacher(s.setKeeping))
}

// keepingData fills the page of the dates of keeping, with what they delete next.
type keepingData struct {
	Rules    keeping.Rules
	Was      string // hash of the text that the edit began from
	Saved    bool
	Behind   bool
	Complain string
	Set      bool // there are rules
	Acts     bool // already
	From     time.Time
	Due      intake.Due
}

// MB is how much room the photos take.
func (k keepingData) MB() float64 { return float64(k.Due.Bytes) / 1e6 }

func (s *Server) keepingNow(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return s.showKeeping(w, r, http.StatusOK, keepingData{Saved: r.URL.Query().Has("saved")})
}

func (s *Server) showKeeping(w http.ResponseWriter, r *http.Request, status int, data keepingData) error {
	text, err := s.text(r.Context(), settings.Keeping)
	rules, bad := keeping.Parse(text)
	if err = errors.Join(err, bad); err != nil {
		return err
	}
	data.Was = book.Hash([]byte(text))
	if data.Complain == "" {
		data.Rules = rules
	}
	now := time.Now()
	at := now
	data.Set, data.Acts, data.From = !rules.From().IsZero(), rules.Acts(now), rules.From()
	if data.Set && !data.Acts {
		at = rules.From() // what will be due then
	}
	if data.Due, err = s.Folder.Due(r.Context(), rules, at); err != nil {
		return err
	}
	return s.show(w, r, status, "keeping", page{Title: "keeping-title", Here: "people", Back: "/people", Data: data})
}

// setKeeping keeps the dates. They act from the day after the next.
func (s *Server) setKeeping(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	number := func(field string) int { return whole(typedNumber(r.PostFormValue(field))) }
	rules := keeping.Rules{PhotoDays: number("photos"), ExamMonths: number("exams"), PersonMonths: number("people"),
		AtOnce: r.PostFormValue("at-once") != "", Since: time.Now().Format(time.DateOnly)}
	if err := rules.Check(); err != nil {
		return s.showKeeping(w, r, http.StatusUnprocessableEntity, keepingData{Rules: rules, Complain: s.complain(s.language(r), err, "bad-form")})
	}
	text, err := rules.TOML()
	if err == nil {
		var behind bool
		if behind, err = s.keepText(r.Context(), settings.Keeping, r.PostFormValue("was"), text); behind {
			return s.showKeeping(w, r, http.StatusConflict, keepingData{Behind: true})
		}
	}
	if err != nil {
		return err
	}
	return redirect(w, r, "/people/keeping?saved")
}

// keepingEvery is how often is looked for what is due. Several servers of one site may
// do so at once: each photo is dropped by one of them.
const keepingEvery = time.Hour

// keepInTime deletes what is due until ctx is done.
func (s *Server) keepInTime(ctx context.Context) {
	for ctx.Err() == nil {
		if err := s.keepDates(ctx, time.Now()); err != nil && ctx.Err() == nil {
			s.Log.ErrorContext(ctx, "delete what is due by the dates of keeping", "err", err)
		}
		select {
		case <-ctx.Done():
		case <-time.After(keepingEvery):
		}
	}
}

// Due is what the dates of keeping of a record delete at a moment, and those.
func Due(ctx context.Context, of Options, now time.Time) (rules keeping.Rules, due intake.Due, err error) {
	if rules, err = newServer(of).rules(ctx); err == nil {
		due, err = of.Folder.Due(ctx, rules, now)
	}
	return rules, due, err
}

// DeleteDue deletes that, whether the record is served or not.
func DeleteDue(ctx context.Context, of Options, now time.Time) error {
	return newServer(of).keepDates(ctx, now)
}

// keepDates deletes what is due at a moment, if the rules act by then.
func (s *Server) keepDates(ctx context.Context, now time.Time) error {
	rules, err := s.rules(ctx)
	if err != nil || !rules.Acts(now) {
		return err
	}
	due, err := s.Folder.Due(ctx, rules, now)
	if err != nil {
		return err
	}
	n, err := s.Folder.Drop(ctx, due)
	if n > 0 {
		s.Log.InfoContext(ctx, "photos were deleted by the dates of keeping", "photos", n)
	}
	if err != nil {
		return err
	}
	for _, name := range due.People {
		err := s.beginForget(ctx, name, intake.Aged)
		if err != nil && !errors.Is(err, book.ErrInExam) && !errors.Is(err, account.ErrPasscode) {
			return err
		}
	}
	return nil
}

// refusedAgain says why a tray is not measured anew.
func refusedAgain(l lang, err error) error {
	var gone *intake.DroppedError
	if errors.As(err, &gone) {
		err = inWords(l, http.StatusConflict, "photo-gone", err)
	}
	return err
}
