package serve

import (
	"context"
	"errors"
	"io"
	"math"
	"mime/multipart"
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
	"netagauge/internal/judge/ticket"

	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/see/photo"
	"netagauge/internal/tell/report"
)

// How long a photo may take over weak Wi-Fi.
const sendingTime = 5 * time.Minute

// fields that a form may carry beside the photo, which comes last.
const maxField = 400

// owner is the account a session's photos belong to: where a trainee wants no name kept,
// the session itself.
func owner(who account.Session) string {
	if !who.Named() {
		return unnamed(who)
	}
	return string(who.Role) + "/" + who.Who
}

// traineeOwner is the account of a trainee's name.
func traineeOwner(name string) string { return string(account.Trainee) + "/" + name }

// unnamed stands for a session whose trays are nobody's.
func unnamed(who account.Session) string { return "unnamed/" + who.Alias() }

// person is under what a trainee's guesses are kept.
func person(who account.Session) string {
	if !who.Named() {
		return unnamed(who)
	}
	return who.Who
}

// nameOf is the name that a tray is kept under; empty for none.
func nameOf(who account.Session) string {
	if !who.Named() {
		return ""
	}
	return who.Who
}

// sent is a form with a photo, whose bytes are read as they come.
type sent struct {
	fields map[string]string
	name   string
	photo  io.Reader // nil when none was chosen
	parts  *multipart.Reader
}

// second is the photo behind the first one, which must have been read; nil when
// none was chosen.
func (s sent) second() (name string, photo io.Reader, err error) {
	part, err := s.parts.NextPart()
	switch {
	case errors.Is(err, io.EOF):
		return "", nil, nil
	case err != nil:
		return "", nil, err
	case part.FormName() != "second" || part.FileName() == "":
		return "", nil, nil
	}
	return shortName(part.FileName()), part, nil
}

// readSent reads the fields up to the photo. Forms put photos last, so that what
// is wrong with a field is said before a photo is taken in.
func readSent(w http.ResponseWriter, r *http.Request) (sent, error) {
	control := http.NewResponseController(w)
	control.SetReadDeadline(time.Now().Add(sendingTime))
	control.SetWriteDeadline(time.Now().Add(sendingTime + time.Minute))
	r.Body = http.MaxBytesReader(w, r.Body, 2*photo.MaxBytes+maxForm)
	out := sent{fields: map[string]string{}}
	parts, err := r.MultipartReader()
	if err != nil {
		return out, err
	}
	out.parts = parts
	for range 20 {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, err
		}
		if part.FormName() == "photo" {
			return out.withPhoto(part)
		}
		text, err := io.ReadAll(io.LimitReader(part, maxField+1))
		if err != nil {
			return out, err
		}
		if len(text) > maxField || !utf8.Valid(text) {
			return out, phrase.Wrong("bad-form")
		}
		out.fields[part.FormName()] = strings.TrimSpace(string(text))
	}
	return out, phrase.Wrong("bad-form")
}

// withPhoto takes the photo's part. A browser sends an empty one, without a
// name, when none was chosen.
func (s sent) withPhoto(part *multipart.Part) (sent, error) {
	s.name = shortName(part.FileName())
	if s.name != "" {
		s.photo = part
	}
	return s, nil
}

// shortName is a file's own name, for showing.
func shortName(name string) string {
	name = report.Printable(strings.ToValidUTF8(name, "?"))
	if n := []rune(name); len(n) > 80 {
		name = string(n[:80])
	}
	return name
}

// receive takes a photo in for a session and goes to its page, or says why not.
func (s *Server) receive(w http.ResponseWriter, r *http.Request, who account.Session, to intake.Session, name string, f sent) error {
	told, err := s.ticket(r.Context(), to)
	if err != nil {
		return err
	}
	if err := enter(&told, f.fields); err != nil {
		return s.refused(r, err)
	}
	shot, err := s.Folder.Receive(r.Context(), intake.Shot{Owner: owner(who), Who: name, Kind: to.Kind, Session: to.Name, Ticket: told, Name: f.name}, f.photo)
	if err != nil {
		return s.refused(r, err)
	}
	if who.Limited {
		// The phone may be gone; what it sent stays its own.
		if err := s.Accounts.Sent(context.WithoutCancel(r.Context()), who, shot.ID); err != nil {
			return err
		}
	}
	page := "/shots/" + shot.ID
	if why := s.withSecond(r.Context(), shot, f); why != "" {
		page += "?second=" + why
	}
	return redirect(w, r, page)
}

// enter puts what was entered in place of what the session says.
func enter(t *ticket.Ticket, fields map[string]string) error {
	if fields["species"] != "" {
		t.Species, t.Density = fields["species"], ""
	}
	thickness, weight := textfile.Decimal(fields["thickness"]), textfile.Decimal(fields["tray-weight"])
	if thickness != "" || weight != "" {
		t.Thickness, t.TrayWeight = thickness, weight
	}
	for field, size := range map[string]*float64{"block-height": &t.Cut.BlockHeight, "block-width": &t.Cut.BlockWidth} {
		if told := fields[field]; told != "" {
			if *size = textfile.Number(told); math.IsNaN(*size) {
				return phrase.Wrong("block-number", strconv.Quote(told))
			}
		}
	}
	return t.Check()
}

// busyWait is when to try again after a full queue.
const busyWait = time.Minute

// refused says why a photo was not taken in, and what to do.
func (s *Server) refused(r *http.Request, err error) error {
	switch why := refusal(err); why {
	case "busy-text":
		return later(http.StatusServiceUnavailable, "busy", why, busyWait)
	case "photos-away":
		s.Log.ErrorContext(r.Context(), "take in a photo", "err", err)
		return later(http.StatusServiceUnavailable, "not-taken", why, busyWait)
	case "trouble-text":
		return inWords(s.language(r), http.StatusUnprocessableEntity, "entered-wrong", err)
	case "disk-full":
		s.Log.ErrorContext(r.Context(), "take in a photo", "err", err)
		return problem(http.StatusInsufficientStorage, "not-taken", why)
	default:
		return problem(refusedStatus[why], "not-taken", why)
	}
}

// refusedStatus is the status of the other refusals.
var refusedStatus = map[string]int{
	"too-large": http.StatusRequestEntityTooLarge, "not-a-photo": http.StatusUnsupportedMediaType, "deep-photo": http.StatusUnsupportedMediaType,
	"cut-short": http.StatusBadRequest, "second-same": http.StatusConflict, "too-many-seconds": http.StatusConflict,
}

// photoForm reads a form whose photo is required.
func (s *Server) photoForm(w http.ResponseWriter, r *http.Request, who account.Session) (f sent, err error) {
	done, err := try(s.sending, owner(who))
	if err != nil {
		return f, err
	}
	done(true) // each photo counts
	f, err = readSent(w, r)
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return f, problem(http.StatusRequestEntityTooLarge, "not-taken", "too-large")
	case err != nil:
		return f, problem(http.StatusBadRequest, "not-taken", "bad-form")
	case f.photo == nil:
		return f, problem(http.StatusUnprocessableEntity, "not-taken", "choose-photo")
	}
	return f, nil
}
