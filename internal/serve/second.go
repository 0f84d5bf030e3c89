package serve

import (
	"context"
	"errors"
	"net/http"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/photos"
)

// addSecond takes in a second photo of a tray whose first is here already.
func (s *Server) addSecond(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.visible(r, who)
	if err != nil {
		return err
	}
	f, err := s.photoForm(w, r, who)
	if err != nil {
		return err
	}
	if !x.Dropped.IsZero() {
		return refusedAgain(s.language(r), &intake.DroppedError{At: x.Dropped})
	}
	if _, err := s.Folder.AddSecond(r.Context(), x.ID, f.name, f.photo); err != nil {
		return s.refused(r, err)
	}
	return redirect(w, r, "/shots/"+x.ID)
}

// second asks for a second photo of a tray.
func (s *Server) second(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.visible(r, who)
	if err != nil {
		return err
	}
	data := secondData{Action: "/shots/" + x.ID + "/second"}
	return s.show(w, r, http.StatusOK, "second", page{Title: "second-title", Back: "/shots/" + x.ID, Here: "tray", Data: data})
}

// withSecond takes in the second photo of a form whose first one has been taken
// in, and gives the key of why it was not. The first one is safe whatever happens.
func (s *Server) withSecond(ctx context.Context, x intake.Shot, f sent) (why string) {
	name, photo, err := f.second()
	if err == nil && photo != nil {
		_, err = s.Folder.AddSecond(ctx, x.ID, name, photo)
	}
	if err == nil {
		return ""
	}
	why = refusal(err)
	if why == "trouble-text" || why == "photos-away" || strings.HasPrefix(why, "disk-") {
		s.Log.ErrorContext(ctx, "take in a second photo", "err", err)
	}
	return why
}

// refusal is the key of why a photo was not taken in.
func refusal(err error) string {
	var large *http.MaxBytesError
	switch {
	case errors.Is(err, intake.ErrSamePhoto):
		return "second-same"
	case errors.Is(err, intake.ErrManySeconds):
		return "too-many-seconds"
	case errors.Is(err, intake.ErrBusy):
		return "busy-text"
	case errors.Is(err, intake.ErrFull):
		return "disk-full"
	case errors.Is(err, intake.ErrReadOnly):
		return "disk-read-only"
	case errors.Is(err, photos.ErrAway):
		return "photos-away"
	case errors.Is(err, intake.ErrTooLarge), errors.As(err, &large):
		return "too-large"
	case errors.Is(err, intake.ErrNotAPhoto):
		return "not-a-photo"
	case errors.Is(err, intake.ErrDeep):
		return "deep-photo"
	case errors.Is(err, intake.ErrCutShort):
		return "cut-short"
	}
	return "trouble-text"
}

// refusals are the keys that a page may be asked to show beside a tray.
var refusals = map[string]bool{"second-same": true, "too-many-seconds": true, "busy-text": true, "disk-full": true, "disk-read-only": true, "photos-away": true, "too-large": true, "not-a-photo": true, "deep-photo": true, "cut-short": true, "trouble-text": true}

// secondData offers a second photo, or another one.
type secondData struct {
	Action string
	Why    string // key of why the last one was of no use
}

// secondOf is what to offer beside a tray; nil where both photos have been
// measured, or the first cannot be.
func secondOf(x intake.Shot, r *resultData, refused string) *secondData {
	if x.State != intake.Measured || r == nil || !x.Dropped.IsZero() {
		return nil
	}
	out := secondData{Action: "/shots/" + x.ID + "/second"}
	switch {
	case refusals[refused]:
		out.Why = refused
	case x.Second.Useless:
		out.Why = "second-stopped"
	case x.Second.Counts() && !r.secondOdd:
		return nil
	}
	return &out
}

// topData is what two photos show of a slice's top, in the page's language.
type topData struct {
	Koba, Wedge, Title string
}

func topOf(l lang, p piece.Piece) *topData {
	if !p.WedgeAlong.Known {
		return nil
	}
	var out topData
	switch {
	case p.Koba == nil:
		out.Koba = l.Word("koba-unknown")
	case !*p.Koba:
		out.Koba = l.Word("koba-no")
	case p.KobaWidth.Known:
		out.Koba = l.Word("koba-yes", p.KobaWidth.X, p.KobaWidth.U)
	default:
		out.Koba = l.Word("koba-there")
	}
	if p.KobaBroken != nil && *p.KobaBroken {
		out.Koba += l.Word("koba-broken")
	}
	out.Wedge, _ = advice(l, p.WedgeSays, p.WedgeAdvice)
	if ends := p.ThicknessMap.Ends(); len(ends) == 2 {
		out.Title = l.Word("map-title", ends[0].Mean, ends[1].Mean)
	}
	return &out
}
