package serve

import (
	"context"
	"errors"
	"net/http"
	"strings"

	"netagauge/internal/core/textfile"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// standardData fills the page of the house standard.
type standardData struct {
	kept
	Name   string
	Bands  []bandField
	Text   string // the whole of it, as TOML
	ByText bool   // the text was sent, and not the fields
	Try    *tryData
	Undo   bool       // there is one from before
	House  *inherited // how it stands to the organisation's; nil without one
}

// bandField is what the house asks of a measure, as typed.
type bandField struct {
	ID, Label, Unit string // of the form; key; sign
	Low, Aim, High  string
	Strip           *stripData // the class's slices against it; nil where there are none
}

// houseBand is a band of the standard that has fields on the page.
type houseBand struct {
	id, label, unit string
	of              func(*standard.Standard) *standard.Limits
}

var houseBands = []houseBand{
	{"length", "length", "mm", func(s *standard.Standard) *standard.Limits { return &s.Length }},
	{"width", "width", "mm", func(s *standard.Standard) *standard.Limits { return &s.Width }},
	{"weight", "band-weight", "g", func(s *standard.Standard) *standard.Limits { return &s.Weight.General }},
	{"weight-white", "band-weight-white", "g", func(s *standard.Standard) *standard.Limits { return &s.Weight.White }},
	{"weight-tuna", "band-weight-tuna", "g", func(s *standard.Standard) *standard.Limits { return &s.Weight.Tuna }},
	{"weight-stiff", "band-weight-stiff", "g", func(s *standard.Standard) *standard.Limits { return &s.Weight.Stiff }},
}

// draft is a standard that somebody may keep.
type draft struct{ Text, Was string }

// standard shows the house standard, or one that is tried.
func (s *Server) standard(w http.ResponseWriter, r *http.Request, who account.Session) error {
	text, err := s.text(r.Context(), settings.Standard)
	var house standard.Standard
	if err == nil {
		house, err = s.house(r.Context())
	}
	if err != nil {
		return err
	}
	data := standardData{kept: kept{Was: book.Hash([]byte(text)), Saved: r.URL.Query().Has("saved")}, Text: text}
	id := r.URL.Query().Get("try")
	d, found, err := drafts.find(s, r, who, id)
	if err == nil && found {
		house, err = standard.Parse([]byte(d.Text))
	}
	if err != nil {
		return err
	}
	if found {
		data.Was, data.Text, data.Try = d.Was, d.Text, &tryData{ID: id}
	}
	if data.Text == "" {
		full, err := house.TOML()
		if err != nil {
			return err
		}
		data.Text = string(full)
	}
	data.fill(house)
	return s.showStandard(w, r, http.StatusOK, data, &house)
}

// fill writes a standard into the fields.
func (data *standardData) fill(house standard.Standard) {
	data.Name = house.Name
	for _, b := range houseBands {
		v := b.of(&house)
		data.Bands = append(data.Bands, bandField{ID: b.id, Label: b.label, Unit: b.unit, Low: trimmed(v.Low), Aim: trimmed(v.Aim), High: trimmed(v.High)})
	}
}

// showStandard shows the page; a standard that can be read is held beside the class.
func (s *Server) showStandard(w http.ResponseWriter, r *http.Request, status int, data standardData, house *standard.Standard) error {
	before, err := s.text(r.Context(), settings.StandardBefore)
	data.Undo = before != ""
	if err == nil && house != nil {
		data.House, err = s.inherited(r.Context(), s.language(r), *house)
	}
	if err == nil && house != nil && !s.owns() {
		err = s.beside(r.Context(), &data, *house)
	}
	if err != nil {
		return err
	}
	return s.show(w, r, status, "standard", page{Title: "standard-title", Here: "standard", Data: data})
}

// tryStandard reads what was typed and shows what it would change.
func (s *Server) tryStandard(w http.ResponseWriter, r *http.Request, who account.Session) error {
	data := standardData{kept: kept{Was: r.PostFormValue("was")}, Text: plainLines(r.PostFormValue("text")), ByText: r.PostForm.Has("text")}
	house, err := s.house(r.Context())
	if err != nil {
		return err
	}
	if data.ByText {
		_, err = standard.Parse([]byte(data.Text))
		data.fill(house)
	} else if err = data.typed(s.language(r), r, &house); err == nil {
		var full []byte
		full, err = house.TOML()
		data.Text = string(full)
	}
	if err != nil {
		data.Complain = s.complain(s.language(r), err, "bad-form")
		return s.showStandard(w, r, http.StatusUnprocessableEntity, data, nil)
	}
	id, err := drafts.keep(s, r, who, draft{data.Text, data.Was})
	if err != nil {
		return err
	}
	return redirect(w, r, "/standard?try="+id)
}

// typed takes the fields into a standard.
func (data *standardData) typed(l lang, r *http.Request, house *standard.Standard) error {
	house.Name = strings.TrimSpace(r.PostFormValue("name"))
	data.Name = house.Name
	var errs []error
	for _, b := range houseBands {
		f := bandField{ID: b.id, Label: b.label, Unit: b.unit}
		read := func(end string, to *string) float64 {
			*to = textfile.Decimal(r.PostFormValue(b.id + "-" + end))
			return textfile.Number(*to)
		}
		v := standard.Limits{Low: read("low", &f.Low), Aim: read("aim", &f.Aim), High: read("high", &f.High)}
		if !(0 <= v.Low && v.Low <= v.Aim && v.Aim <= v.High) {
			errs = append(errs, wrongBand(l.Word(b.label)))
		}
		*b.of(house) = v
		data.Bands = append(data.Bands, f)
	}
	if len(errs) > 0 {
		return errors.Join(errs...)
	}
	return house.Check()
}

// keepStandard keeps a standard that was tried; undoStandard brings the one before back.
func (s *Server) keepStandard(w http.ResponseWriter, r *http.Request, who account.Session) error {
	d, found, err := drafts.find(s, r, who, r.PostFormValue("try"))
	switch {
	case err != nil:
		return err
	case !found:
		return redirect(w, r, "/standard")
	}
	return s.replaceStandard(w, r, d)
}

func (s *Server) undoStandard(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	text, err := s.text(r.Context(), settings.StandardBefore)
	if err != nil {
		return err
	}
	if text == "" {
		return errNotFound
	}
	if text == fromOrganisation {
		text = ""
	}
	return s.replaceStandard(w, r, draft{text, r.PostFormValue("was")})
}

// replaceStandard keeps a standard, and the one that it takes the place of.
func (s *Server) replaceStandard(w http.ResponseWriter, r *http.Request, d draft) error {
	s.saving.Lock()
	defer s.saving.Unlock()
	behind, err := s.swapStandard(r.Context(), d)
	switch {
	case err != nil:
	case behind:
		data := standardData{kept: kept{Was: d.Was, Behind: true}, Text: d.Text, ByText: true}
		if house, err := standard.Parse([]byte(d.Text)); err == nil && d.Text != "" {
			data.fill(house)
		}
		return s.showStandard(w, r, http.StatusConflict, data, nil)
	default:
		err = s.applyStandard(r.Context())
	}
	if err != nil {
		return err
	}
	s.stale()
	return redirect(w, r, "/standard?saved")
}

func (s *Server) swapStandard(ctx context.Context, d draft) (behind bool, err error) {
	now, err := s.text(ctx, settings.Standard)
	if err != nil {
		return false, err
	}
	before := now
	if before == "" && s.host != nil && !s.owns() {
		before = fromOrganisation
	} else if before == "" {
		house, err := s.house(ctx)
		if err != nil {
			return false, err
		}
		full, err := house.TOML()
		if err != nil {
			return false, err
		}
		before = string(full)
	}
	if d.Was != book.Hash([]byte(now)) {
		return true, nil
	}
	done, err := s.Settings.Replace(ctx, settings.Standard, now, d.Text, settings.Named{Name: settings.StandardBefore, Text: before})
	return !done, err
}

// applyStandard holds the open class and the line against the standard from now on, and
// measures the class's photos anew.
func (s *Server) applyStandard(ctx context.Context) error {
	if s.owns() {
		return s.host.applyToSites(ctx)
	}
	house, err := s.house(ctx)
	if err != nil {
		return err
	}
	line, err := s.Folder.Session(ctx, intake.Line, s.Line)
	if err != nil {
		return err
	}
	line.Ticket.Standard = house
	if err := s.Folder.SetSession(ctx, line); err != nil {
		return err
	}
	open, found, err := s.openedClass(ctx)
	if err != nil || !found {
		return err
	}
	if house, err = s.asked(ctx, open.Name, house); err != nil {
		return err
	}
	open.Ticket.Standard = house
	if err := s.Folder.SetSession(ctx, open); err != nil {
		return err
	}
	shots, err := s.Folder.List(ctx, intake.Filter{Kind: intake.Class, Session: open.Name})
	if err != nil {
		return err
	}
	var errs []error
	for _, x := range shots {
		told := x.Ticket
		told.Standard = house
		var gone *intake.DroppedError
		if _, err := s.Folder.Again(ctx, x.ID, told); !errors.As(err, &gone) { // else its result stays
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}
