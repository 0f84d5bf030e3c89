package serve

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"netagauge/internal/judge/ticket"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/intake"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/class"
)

func (s *Server) path(name string) string { return filepath.Join(s.Folder.Dir(), name) }

// text reads a setting; one that is not there is empty.
func (s *Server) text(name string) (string, error) {
	data, err := os.ReadFile(s.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	return string(data), err
}

// readRoster is the roster as last saved; nobody is in it before that.
func (s *Server) readRoster() (class.Roster, error) {
	text, err := s.text(intake.RosterFile)
	if err != nil || text == "" {
		return class.Roster{}, err
	}
	return class.ParseRoster(text)
}

// house is the standard as last saved, or else the one the program began with.
func (s *Server) house() (standard.Standard, error) {
	text, err := s.text(intake.StandardFile)
	if err != nil || text == "" {
		return s.Standard, err
	}
	return standard.Parse([]byte(text))
}

// ticket is a session's with the mats' verified scales as they are now.
func (s *Server) ticket(of intake.Session) (ticket.Ticket, error) {
	prints, err := printscale.Load(s.path(intake.PrintsFile))
	t := of.Ticket
	t.Prints = prints.Prints
	return t, err
}

// openedClass is the class that photos go to; found is false before one is open.
func (s *Server) openedClass(ctx context.Context) (c intake.Session, found bool, err error) {
	name, err := s.text(intake.OpenFile)
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
	house, err := s.house()
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

// keep writes a setting whole or not at all.
func (s *Server) keep(name, text string) error {
	return atomicfile.WritePrivate(s.path(name), []byte(text))
}
