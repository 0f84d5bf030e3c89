package serve

import (
	"context"
	"errors"
	"net/http"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/settings"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/record"
)

// matData fills the page where a printed mat is verified.
type matData struct {
	Prints []printscale.Record
	Done   bool // kept
	True   bool // as far as the object tells, so nothing was kept
	Failed string
}

func (s *Server) mat(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return s.showMat(w, r, http.StatusOK, matData{Done: r.URL.Query().Has("done"), True: r.URL.Query().Has("true")})
}

func (s *Server) showMat(w http.ResponseWriter, r *http.Request, status int, data matData) error {
	store, err := s.prints(r.Context())
	if err != nil {
		return err
	}
	data.Prints = store.Prints
	return s.show(w, r, status, "mat", page{Title: "mat-title", Here: "mat", Data: data})
}

// verifyMat measures a card or a coin on a mat, as the command does; the photo
// is not kept.
func (s *Server) verifyMat(w http.ResponseWriter, r *http.Request, who account.Session) error {
	f, err := s.photoForm(w, r, who)
	if err != nil {
		return err
	}
	var v printscale.Verified
	err = s.withPhotos(r.Context(), f, func(photo, _ record.Photo) (err error) {
		v, err = s.Single.Print(r.Context(), photo, f.fields["coin"])
		return singleError(err)
	})
	var wrong photoError
	switch {
	case errors.As(err, &wrong):
		return s.showMat(w, r, http.StatusUnprocessableEntity, matData{Failed: s.complain(s.language(r), wrong.error, "mat-failed")})
	case err != nil:
		return s.refused(r, err)
	}
	kept, err := s.learnPrint(r.Context(), v)
	if err != nil {
		return err
	}
	to := "/mat?true"
	if kept {
		to = "/mat?done"
	}
	return redirect(w, r, to)
}

// learnPrint keeps what was verified, where it tells something.
func (s *Server) learnPrint(ctx context.Context, v printscale.Verified) (kept bool, err error) {
	err = settings.Change(ctx, s.Settings, settings.Prints, func(now string) (string, error) {
		store, err := printscale.Parse([]byte(now))
		if err != nil {
			return "", phrase.At(settings.Prints, err)
		}
		if store, kept = store.Learn(v, time.Now()); !kept {
			return now, nil
		}
		return store.Text()
	})
	return kept && err == nil, err
}
