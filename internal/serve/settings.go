package serve

import (
	"context"
	"errors"
	"strings"

	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/settings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/intake"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/class"
)

// text reads a setting; one that is not there is empty.
func (s *Server) text(ctx context.Context, name string) (string, error) {
	return settings.Text(ctx, s.Settings, name)
}

// readRoster is the roster as last saved; nobody is in it before that.
func (s *Server) readRoster(ctx context.Context) (class.Roster, error) {
	text, err := s.text(ctx, settings.Roster)
	if err != nil || text == "" {
		return class.Roster{}, err
	}
	return class.ParseRoster(text)
}

// house is the standard as last saved, or else that of the organisation or the one the
// program began with.
func (s *Server) house(ctx context.Context) (standard.Standard, error) {
	text, err := s.text(ctx, settings.Standard)
	switch {
	case err != nil || text == "" && (s.host == nil || s.owns()):
		return s.Standard, err
	case text == "":
		return s.host.house(ctx)
	}
	return standard.Parse([]byte(text))
}

// ticket is a session's with the mats' verified scales as they are now.
func (s *Server) ticket(ctx context.Context, of intake.Session) (ticket.Ticket, error) {
	prints, err := s.prints(ctx)
	t := of.Ticket
	t.Prints = prints.Prints
	return t, err
}

// prints are the mats' verified scales.
func (s *Server) prints(ctx context.Context) (printscale.Store, error) {
	text, err := s.text(ctx, settings.Prints)
	if err != nil {
		return printscale.Store{}, err
	}
	store, err := printscale.Parse([]byte(text))
	if err != nil {
		return store, phrase.At(settings.Prints, err)
	}
	return store, nil
}

// openedClass is the class that photos go to; found is false before one is open.
func (s *Server) openedClass(ctx context.Context) (c intake.Session, found bool, err error) {
	name, err := s.text(ctx, settings.OpenClass)
	if err != nil || name == "" {
		return c, false, err
	}
	c, err = s.Folder.Session(ctx, intake.Class, strings.TrimSuffix(name, "\n"))
	if errors.Is(err, intake.ErrNoSession) {
		return c, false, nil
	}
	return c, err == nil, err
}

// firstFiles makes sure that there is a line for spot checks, and that the roster
// holds.
func (s *Server) firstFiles(ctx context.Context) error {
	house, err := s.house(ctx)
	if err != nil {
		return err
	}
	if err := s.applyRoster(ctx); err != nil {
		return err
	}
	if _, err := s.Folder.Session(ctx, intake.Line, s.Line); err == nil || !errors.Is(err, intake.ErrNoSession) {
		return err
	}
	return s.Folder.SetSession(ctx, intake.Session{Kind: intake.Line, Name: s.Line, Ticket: ticket.Ticket{Standard: house}})
}
