package serve

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"reflect"

	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/settings"
)

// fromOrganisation stands for a site's standard before it kept one of its own.
const fromOrganisation = "# the organisation's standard\n"

// inherited is how a site's standard stands to the organisation's.
type inherited struct {
	Own     bool // the site keeps one of its own
	Differs []differs
	Else    bool // and in what has no fields on the page
}

// differs is a band that differs.
type differs struct{ Label, Here, There string }

// inherited compares a standard with the organisation's; nil where there is none.
func (s *Server) inherited(ctx context.Context, l lang, here standard.Standard) (*inherited, error) {
	if s.host == nil || s.owns() {
		return nil, nil
	}
	text, err := s.text(ctx, settings.Standard)
	if err != nil {
		return nil, err
	}
	there, err := s.host.house(ctx)
	if err != nil {
		return nil, err
	}
	out := &inherited{Own: text != ""}
	for _, b := range houseBands {
		x, y := b.of(&here), b.of(&there)
		if *x != *y {
			out.Differs = append(out.Differs, differs{l.Word("band-legend-of", l.Word(b.label), b.unit), limitsSay(*x), limitsSay(*y)})
		}
		*y = *x
	}
	there.Name = here.Name
	out.Else = !reflect.DeepEqual(here, there)
	return out, nil
}

func limitsSay(v standard.Limits) string {
	return fmt.Sprintf("%s\u00a0– %s\u00a0– %s", trimmed(v.Low), trimmed(v.Aim), trimmed(v.High))
}

// inheritStandard goes back to the organisation's standard.
func (s *Server) inheritStandard(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	text, err := s.text(r.Context(), settings.Standard)
	if err != nil {
		return err
	}
	if s.host == nil || text == "" {
		return errNotFound
	}
	return s.replaceStandard(w, r, draft{"", r.PostFormValue("was")})
}

// applyToSites holds the classes and lines of every open site that keeps no standard of
// its own against the organisation's from now on.
func (o *Organisation) applyToSites(ctx context.Context) error {
	all, err := o.all(ctx)
	errs := []error{err}
	for _, of := range all {
		if of.Closed {
			continue
		}
		at, err := o.server(ctx, of.Name)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		text, err := at.server.text(ctx, settings.Standard)
		if err == nil && text == "" {
			err = at.server.applyStandard(ctx)
			at.server.stale()
		}
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}
