package serve

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/work/class"
)

// forgetting are the pages on which a person's records are deleted.
func (s *Server) forgetting(m *http.ServeMux) {
	teacher := s.only(account.Instructor)
	m.Handle("GET /people/forget", teacher(s.askForget))
	m.Handle("POST /people/forget", teacher(s.forget))
}

// forgetData fills the page that asks before a person's records are deleted.
type forgetData struct {
	intake.Removal
	Any      bool
	Asked    bool // by the person
	Complain string
	Done     []intake.Removal // the last ones of whomever
}

// MB is how much room the photos take.
func (f forgetData) MB() float64 { return float64(f.Bytes) / 1e6 }

// shownRemovals is how many deletions that were done the page lists.
const shownRemovals = 20

func (s *Server) askForget(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return s.showForget(w, r, http.StatusOK, strings.TrimSpace(r.URL.Query().Get("name")), "")
}

func (s *Server) showForget(w http.ResponseWriter, r *http.Request, status int, name, complain string) error {
	data := forgetData{Complain: complain}
	var err error
	if name != "" {
		if data.Removal, err = s.Folder.Holds(r.Context(), name); err != nil {
			return err
		}
		roster, err := s.readRoster(r.Context())
		if err != nil {
			return err
		}
		data.Any = data.Removed.Any() || data.Photos > 0 || len(roster.Without(name).Names()) < len(roster.Names())
		open, there, err := s.Folder.RemovalOf(r.Context(), name)
		if err != nil {
			return err
		}
		data.Going, data.Asked, data.AskedAt = there && open.Going, there, open.AskedAt
	}
	if _, data.Done, err = s.Folder.Removals(r.Context(), shownRemovals); err != nil {
		return err
	}
	title := "forget"
	if name != "" {
		title = s.language(r).Word("forget-title", name)
	}
	return s.show(w, r, status, "forget", page{Title: title, Here: "people", Back: "/people", Data: data})
}

// forget begins a removal and does it, unless a photo of the person is being measured.
func (s *Server) forget(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	name := strings.TrimSpace(r.PostFormValue("name"))
	why := intake.Instructed
	if _, there, err := s.Folder.RemovalOf(r.Context(), name); err == nil && there {
		why = intake.Asked
	}
	err := s.beginForget(r.Context(), name, why)
	if says, ok := phrase.In(s.language(r), err); ok {
		return s.showForget(w, r, http.StatusConflict, name, capital(says))
	}
	if err != nil {
		return err
	}
	return redirect(w, r, "/people")
}

// beginForget begins somebody's removal, unless there is a reason against it.
func (s *Server) beginForget(ctx context.Context, name, why string) error {
	if name == "" {
		return phrase.Wrong("forget-name")
	}
	has, err := s.Accounts.HasPasscode(ctx, name)
	switch {
	case err != nil:
		return err
	case has:
		return account.ErrPasscode
	}
	if in, err := s.Folder.Book().InOpenExam(ctx, name); err != nil {
		return err
	} else if in {
		return book.ErrInExam
	}
	if err := s.Folder.AskRemoval(ctx, name, why, true); err != nil {
		return err
	}
	if err := s.goOnForgetting(context.WithoutCancel(ctx)); err != nil {
		return err
	}
	select {
	case s.leaving <- struct{}{}:
	default:
	}
	return nil
}

// forgetPause is how long is waited for a photo that is being measured, forgetCheck how
// long at most until what another process began is gone on with.
const (
	forgetPause = 5 * time.Second
	forgetCheck = time.Hour
)

// forgetInTime goes on with removals until ctx is done: after a start with those that a
// stopped server left.
func (s *Server) forgetInTime(ctx context.Context) {
	for ctx.Err() == nil {
		if err := s.goOnForgetting(ctx); err != nil && ctx.Err() == nil {
			s.Log.ErrorContext(ctx, "delete a person's records", "err", err)
		}
		wait := forgetCheck
		if open, _, err := s.Folder.Removals(ctx, 0); err == nil {
			for _, r := range open {
				if r.Going {
					wait = forgetPause
				}
			}
		}
		select {
		case <-ctx.Done():
		case <-s.leaving:
		case <-time.After(wait):
		}
	}
}

// goOnForgetting does the removals that were begun, as far as they can be done now.
func (s *Server) goOnForgetting(ctx context.Context) error {
	s.forgettingNow.Lock()
	defer s.forgettingNow.Unlock()
	open, _, err := s.Folder.Removals(ctx, 0)
	if err != nil {
		return err
	}
	for _, r := range open {
		if !r.Going {
			continue
		}
		_, err := s.forgetOne(ctx, r)
		if err != nil && !errors.Is(err, book.ErrInExam) { // entered meanwhile: it goes on when that is closed
			return err
		}
	}
	return nil
}

// forgetOne takes a person out of everything that is kept. The roster goes first, by
// which the name could come in again, and the list last, which knows that this is to be
// done.
func (s *Server) forgetOne(ctx context.Context, r intake.Removal) (done bool, err error) {
	if err := s.dropFromRoster(ctx, r.Name); err != nil {
		return false, err
	}
	if err := s.Accounts.Remove(ctx, r.Name); err != nil {
		return false, err
	}
	if s.host != nil {
		if err := s.host.forgetAt(ctx, s.Site, r.Name); err != nil {
			return false, err
		}
	}
	if done, err = s.Folder.Remove(ctx, r); !done || err != nil {
		return done, err
	}
	s.views.forget()
	s.cutouts.forget()
	s.stale()
	return true, nil
}

// dropFromRoster takes a name off the class list.
func (s *Server) dropFromRoster(ctx context.Context, name string) error {
	return settings.Change(ctx, s.Settings, settings.Roster, func(now string) (string, error) {
		if now == "" {
			return now, nil
		}
		roster, err := class.ParseRoster(now)
		if err != nil {
			return now, err
		}
		left := roster.Without(name)
		switch {
		case len(left.Names()) == len(roster.Names()):
			return now, nil
		case !left.Known():
			return "", nil
		}
		return left.CSV()
	})
}
