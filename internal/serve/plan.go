package serve

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"

	"netagauge/internal/core/textfile"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/keep/account"
	"netagauge/internal/tell/plansheet"
	"netagauge/internal/work/record"
)

// planData fills the page of the plan. The sizes stay as they were typed.
type planData struct {
	Length, Width, Height string
	Seen                  string // the block's sections as photos showed them, see sectionsOf
	Species               string
	AllSpecies            []string
	Hand, Tail            string
	Plan                  *plansheet.Sheet
	Sheet                 string // address of the sheet to print
	Picture               string // address of the picture with the cuts
	Wrong                 string
	Cautions              []string
}

func planFields(get func(string) string) planData {
	d := planData{Length: textfile.Decimal(get("length")), Width: textfile.Decimal(get("width")), Height: textfile.Decimal(get("height")),
		Species: get("species"), Hand: get("hand"), Tail: get("tail"), Seen: get("seen"), AllSpecies: species(),
		Cautions: []string{"caution-knife", "caution-cold", "caution-law", "caution-hands", "caution-mat"}}
	if d.Hand != string(plan.Left) {
		d.Hand = string(plan.Right)
	}
	if d.Tail != string(plan.Right) {
		d.Tail = string(plan.Left)
	}
	return d
}

// plan works out the cuts when sizes are given, which needs no photo.
func (s *Server) plan(w http.ResponseWriter, r *http.Request, who account.Session) error {
	d := planFields(r.URL.Query().Get)
	status := http.StatusOK
	if d.Height != "" || d.Seen != "" {
		made, wrong, err := s.planned(r, d)
		switch {
		case err != nil:
			return err
		case wrong != "":
			d.Wrong, status = wrong, http.StatusUnprocessableEntity
		default:
			d.Plan, d.Sheet = &plansheet.Sheet{Plan: made, Words: s.language(r)}, "/plan/sheet.pdf?"+d.query().Encode()
		}
		if picture := r.URL.Query().Get("picture"); d.Plan != nil && picture != "" {
			_, there, err := drawn.find(s, r, who, picture)
			if err != nil {
				return err
			}
			if there {
				d.Picture = "/plan/picture/" + picture
			}
		}
	}
	return s.show(w, r, status, "plan", page{Title: "plan-title", Here: "plan", Data: d})
}

// query is what an address needs to make the same plan again.
func (d planData) query() url.Values {
	out := url.Values{}
	for k, v := range map[string]string{"length": d.Length, "width": d.Width, "height": d.Height, "seen": d.Seen, "species": d.Species, "hand": d.Hand, "tail": d.Tail} {
		if v != "" {
			out.Set(k, v)
		}
	}
	return out
}

// block is that of the sizes typed, whose height may differ from side to side, or the
// one that photos showed.
func (d planData) block() (plan.Block, error) {
	if d.Seen != "" {
		stations, err := readSections(d.Seen)
		if err != nil {
			return plan.Block{}, err
		}
		return plan.NewBlock(stations)
	}
	stations, err := plan.ParseStations(fmt.Sprintf("0:%sx%s,%s:%sx%s", d.Width, d.Height, d.Length, d.Width, d.Height))
	if err != nil {
		return plan.Block{}, errSizes
	}
	return plan.NewBlock(stations)
}

// planned is the plan, or what is wrong with what was entered; an error is trouble
// of the program's own.
func (s *Server) planned(r *http.Request, d planData) (p plan.Plan, wrong string, err error) {
	house, err := s.house(r.Context())
	if err != nil {
		return p, "", err
	}
	p, err = planFor(r.Context(), d, house)
	if err != nil && r.Context().Err() == nil {
		return p, s.complain(s.language(r), err, "wrong-sizes"), nil
	}
	return p, "", err
}

func planFor(ctx context.Context, d planData, house standard.Standard) (plan.Plan, error) {
	block, err := d.block()
	if err != nil {
		return plan.Plan{}, err
	}
	group, o, err := d.options()
	if err != nil {
		return plan.Plan{}, err
	}
	return plan.Make(ctx, block, house, group, o)
}

// options are those of the cook and of the fish that was named, with its group.
func (d planData) options() (group string, o plan.Options, err error) {
	o = plan.DefaultOptions()
	fish, err := weight.BuiltIn().Matter(d.Species, "", weight.ColdHeld)
	o.Hand, o.Tail, o.Density = plan.Side(d.Hand), plan.Side(d.Tail), fish.Density.X
	return fish.Group, o, err
}

func (s *Server) planSheet(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	made, wrong, err := s.planned(r, planFields(r.URL.Query().Get))
	switch {
	case err != nil:
		return err
	case wrong != "":
		return said(http.StatusUnprocessableEntity, "plan-wrong", wrong)
	}
	l := s.language(r)
	sheet := plansheet.Sheet{Plan: made, Title: l.Word("plan-title"), Words: l}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `attachment; filename="cutting-plan.pdf"`)
	if err := sheet.PDF(w); err != nil {
		s.Log.ErrorContext(r.Context(), "write the plan's sheet", "err", err)
	}
	return nil
}

// makePlan takes the block's length and width from its photo, and its heights from a
// second one where there is one, as the command does; photos are not kept. The address
// of the plan has all that it was made from but the picture.
func (s *Server) makePlan(w http.ResponseWriter, r *http.Request, who account.Session) error {
	f, err := s.photoForm(w, r, who)
	if err != nil {
		return err
	}
	d := planFields(func(k string) string { return f.fields[k] })
	house, err := s.house(r.Context())
	if err != nil {
		return err
	}
	picture := ""
	err = s.withPhotos(r.Context(), f, func(first, second record.Photo) error {
		group, o, err := d.options()
		if err != nil {
			return photoError{err}
		}
		made, jpeg, err := s.Single.Block(r.Context(), first, second, plan.Photographed{Heights: d.Height, Standard: house, Group: group, Options: o})
		if err != nil {
			return singleError(err)
		}
		d.Seen, d.Length, d.Width = sectionsOf(made.Stations), "", ""
		picture, err = drawn.keep(s, r, who, jpeg)
		return err
	})
	var wrong photoError
	switch {
	case errors.As(err, &wrong):
		d.Wrong = s.complain(s.language(r), wrong.error, "wrong-block")
		return s.show(w, r, http.StatusUnprocessableEntity, "plan", page{Title: "plan-title", Here: "plan", Data: d})
	case err != nil:
		return s.refused(r, err)
	}
	return redirect(w, r, "/plan?"+d.query().Encode()+"&picture="+picture)
}

// planPicture sends the picture of a plan just made to who made it.
func (s *Server) planPicture(w http.ResponseWriter, r *http.Request, who account.Session) error {
	jpeg, _, err := drawn.find(s, r, who, r.PathValue("id"))
	return sendJPEG(w, jpeg, err)
}
