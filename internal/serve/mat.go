package serve

import (
	"errors"
	"net/http"
	"strings"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/see/printscale"
)

// matData fills the page where a printed mat is verified.
type matData struct {
	Prints []printscale.Record
	Done   bool
	Failed *complaint
}

func (s *Server) mat(w http.ResponseWriter, r *http.Request, _ account.Session) {
	s.showMat(w, r, http.StatusOK, matData{})
}

func (s *Server) showMat(w http.ResponseWriter, r *http.Request, status int, data matData) {
	store, err := printscale.Load(s.path(intake.PrintsFile))
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	data.Prints = store.Prints
	s.show(w, r, status, "mat", page{Title: "mat-title", Here: "mat", Data: data})
}

// verifyMat measures a card or a coin on a mat, as the command does; the photo
// is not kept.
func (s *Server) verifyMat(w http.ResponseWriter, r *http.Request, who account.Session) {
	f, ok := s.photoForm(w, r, who)
	if !ok {
		return
	}
	res, err := s.runAlone(r.Context(), f.photo, []string{"NETAGAUGE_PRINTS=" + s.path(intake.PrintsFile)}, func(photo, _ string) []string {
		args := []string{"mat", "--verify", photo}
		if coin := f.fields["coin"]; coin != "" {
			args = append(args, "--coin="+coin)
		}
		return args
	})
	switch {
	case err != nil:
		s.refuse(w, r, err)
	case !res.ok:
		s.showMat(w, r, http.StatusUnprocessableEntity, matData{Failed: complain(s.language(r), errors.New(lastSentence(res.errs, f.name)), "mat-failed")})
	default:
		s.showMat(w, r, http.StatusOK, matData{Done: true})
	}
}

// lastSentence is what the program said last, with the photo by the name that
// its sender knows.
func lastSentence(errs, name string) string {
	lines := strings.Split(strings.TrimSpace(errs), "\n")
	var out []string
	for _, l := range lines {
		if strings.Contains(l, "--help shows how") {
			continue
		}
		_, after, cut := strings.Cut(l, "/photo: ")
		if cut {
			l = name + ": " + after
		}
		out = append(out, strings.TrimSpace(l))
	}
	if len(out) == 0 {
		return ""
	}
	return out[len(out)-1]
}
