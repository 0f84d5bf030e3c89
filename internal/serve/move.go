package serve

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/settings"
)

// move has a trainee go on at another site. The old one keeps its record of them; the
// new one shows what they were graded there. What is done is done again without harm.
func (o *Organisation) move(w http.ResponseWriter, r *http.Request, by account.Session) error {
	return o.change(w, r, func(of organisation.Site) error {
		return o.moved(r.Context(), organisation.Move{FromSite: of.Name, FromWho: r.PostFormValue("who"), ToSite: r.PostFormValue("to"), ToWho: r.PostFormValue("who"), By: by.Who})
	})
}

func (o *Organisation) moved(ctx context.Context, m organisation.Move) error {
	to, found, err := o.find(ctx, m.ToSite)
	if err == nil && (!found || to.Closed || m.ToSite == m.FromSite) {
		err = phrase.Wrong("invite-site")
	}
	if err != nil {
		return err
	}
	from, err := o.server(ctx, m.FromSite)
	if err != nil {
		return err
	}
	at, err := o.server(ctx, m.ToSite)
	if err != nil {
		return err
	}
	if err := o.begin(ctx, m, from.server, at.server); err != nil {
		return err
	}
	if err := o.Accounts.MovePlace(ctx, m.FromSite, m.ToSite, m.FromWho); err != nil {
		return err
	}
	if err := from.server.strike(ctx, m.FromWho); err != nil {
		return err
	}
	return o.kept.Moved(ctx, m)
}

// begin puts who moves on the other roster. A move that was stopped goes on: who is there
// by it is not taken for a namesake.
func (o *Organisation) begin(ctx context.Context, m organisation.Move, from, to *Server) error {
	begun, err := o.kept.Begun(ctx, m)
	if err != nil {
		return err
	}
	was, err := from.readRoster(ctx)
	if err == nil && !begun && !slices.Contains(was.Names(), m.FromWho) {
		err = phrase.Wrong("invite-roster", m.FromWho)
	}
	if err == nil && !begun {
		err = o.kept.Begin(ctx, m)
	}
	if err != nil {
		return err
	}
	namesake, err := to.enrol(ctx, m.ToWho, begun)
	if err == nil && namesake {
		if err = o.kept.GiveUp(ctx, m); err == nil {
			err = phrase.Wrong("move-twice", m.ToWho)
		}
	}
	return err
}

// forgetAt takes a site's trainee out of what the organisation keeps beside its sites:
// invitations by e-mail, and where somebody came from.
func (o *Organisation) forgetAt(ctx context.Context, site, who string) error {
	if err := o.Accounts.ForgetAt(ctx, site, who); err != nil {
		return err
	}
	return o.kept.Forget(ctx, site, who)
}

// enrol puts a name on the roster, unless it is there by the same move. Somebody else of
// that name, who is there, is not taken for them.
func (s *Server) enrol(ctx context.Context, name string, begun bool) (namesake bool, err error) {
	err = s.changeRoster(ctx, func(names []string) ([]string, error) {
		there := slices.Contains(names, name)
		if namesake = there && !begun; there {
			return names, nil
		}
		return append(names, name), nil
	})
	return namesake, err
}

// strike takes a name off the roster, and with it the links and sessions.
func (s *Server) strike(ctx context.Context, name string) error {
	err := s.changeRoster(ctx, func(names []string) ([]string, error) {
		return slices.DeleteFunc(names, func(n string) bool { return n == name }), nil
	})
	if err != nil {
		return err
	}
	return s.Accounts.Strike(ctx, name)
}

// rosterTries is how often a roster is changed anew that somebody else saved meanwhile.
const rosterTries = 5

func (s *Server) changeRoster(ctx context.Context, to func(names []string) ([]string, error)) error {
	for range rosterTries {
		text, err := s.text(ctx, settings.Roster)
		if err != nil {
			return err
		}
		was, err := s.readRoster(ctx)
		if err != nil {
			return err
		}
		names, err := to(was.Names())
		if err != nil {
			return err
		}
		now, err := was.With(strings.Join(names, "\n"))
		if err != nil {
			return err
		}
		sheet, err := now.CSV()
		if err != nil {
			return err
		}
		if done, err := s.Settings.Replace(ctx, settings.Roster, text, sheet); err != nil || done {
			s.stale()
			return err
		}
	}
	return phrase.Wrong("move-busy")
}

// elsewhere is what a person did at another site of the organisation before.
type elsewhere struct {
	Site   string // what it is called
	Grades []book.Graded

	at    *Server
	name  string
	until time.Time // what came later is of somebody else with the name
}

// before are the sites that a trainee came from, the last one first.
func (s *Server) before(ctx context.Context, l lang, name string) (out []elsewhere, err error) {
	if s.host == nil {
		return nil, nil
	}
	path, err := s.host.kept.Path(ctx, s.Site, name)
	if err != nil {
		return nil, err
	}
	for _, m := range path {
		at, err := s.host.server(ctx, m.FromSite)
		if err != nil {
			return nil, err
		}
		e := elsewhere{Site: s.host.called(l, m.FromSite), at: at.server, name: m.FromWho, until: m.At}
		b, all := at.server.Folder.Book(), book.Run{HeldOn: m.At.AddDate(0, 0, 1)}
		if err := board.CatchUp(ctx, b, all); err != nil {
			return nil, err
		}
		if e.Grades, err = b.Grades(ctx, all, m.FromWho); err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}
