package serve

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/plansheet"
)

// planData fills the page of the plan. The sizes stay as they were typed.
type planData struct {
	Length, Width, Height string
	Species               string
	AllSpecies            []string
	Hand, Tail            string
	Plan                  *plan.Plan
	Sheet                 string // address of the PDF; empty for a plan from a photo
	Picture               string // address of the picture with the cuts
	Wrong                 *complaint
	Cautions              []string
}

func planFields(get func(string) string) planData {
	d := planData{Length: decimalPoint(get("length")), Width: decimalPoint(get("width")), Height: decimalPoint(get("height")),
		Species: get("species"), Hand: get("hand"), Tail: get("tail"), AllSpecies: species(),
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
func (s *Server) plan(w http.ResponseWriter, r *http.Request, _ account.Session) {
	d := planFields(r.URL.Query().Get)
	status := http.StatusOK
	if d.Height != "" {
		made, wrong, err := s.planned(r, d)
		switch {
		case err != nil:
			s.trouble(w, r, err)
			return
		case wrong != nil:
			d.Wrong, status = wrong, http.StatusUnprocessableEntity
		default:
			d.Plan = &made
			d.Sheet = "/plan/sheet.pdf?" + url.Values{"length": {d.Length}, "width": {d.Width}, "height": {d.Height},
				"species": {d.Species}, "hand": {d.Hand}, "tail": {d.Tail}}.Encode()
		}
	}
	s.show(w, r, status, "plan", page{Title: "plan-title", Here: "plan", Data: d})
}

// sizes are the block's length, width and height, mm.
func (d planData) sizes() (size [3]float64, ok bool) {
	for i, text := range []string{d.Length, d.Width, d.Height} {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return size, false
		}
		size[i] = v
	}
	return size, true
}

func bar(size [3]float64) []plan.Station {
	return []plan.Station{plan.At(0, size[1], size[2]), plan.At(size[0], size[1], size[2])}
}

// planned is the plan, or what is wrong with what was entered; an error is trouble
// of the program's own.
func (s *Server) planned(r *http.Request, d planData) (p plan.Plan, wrong *complaint, err error) {
	house, err := s.house()
	if err != nil {
		return p, nil, err
	}
	p, err = planFor(r.Context(), d, house)
	if err != nil && r.Context().Err() == nil {
		return p, wrongBlock(s.language(r), err, d, house), nil
	}
	return p, nil, err
}

func planFor(ctx context.Context, d planData, house standard.Standard) (plan.Plan, error) {
	size, ok := d.sizes()
	if !ok {
		return plan.Plan{}, errSizes
	}
	block, err := plan.NewBlock(bar(size))
	if err != nil {
		return plan.Plan{}, err
	}
	o := plan.DefaultOptions()
	fish, err := weight.BuiltIn().Matter(d.Species, "", weight.ColdHeld)
	if err != nil {
		return plan.Plan{}, err
	}
	o.Hand, o.Tail, o.Density = plan.Side(d.Hand), plan.Side(d.Tail), fish.Density.X
	return plan.Make(ctx, block, coach.TargetOf(house, fish.Group), o)
}

func (s *Server) planSheet(w http.ResponseWriter, r *http.Request, _ account.Session) {
	made, wrong, err := s.planned(r, planFields(r.URL.Query().Get))
	switch {
	case err != nil:
		s.trouble(w, r, err)
		return
	case wrong != nil:
		s.say(w, r, http.StatusUnprocessableEntity, "plan-wrong", wrong.Text, wrong.Detail)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `attachment; filename="cutting-plan.pdf"`)
	if err := plansheet.PDF(w, made, "Cutting plan"); err != nil {
		s.Log.Printf("write the plan's sheet: %v", err)
	}
}

// makePlan takes the block's length and width from its photo, as the command
// does; the photo is not kept.
func (s *Server) makePlan(w http.ResponseWriter, r *http.Request, who account.Session) {
	f, ok := s.photoForm(w, r, who)
	if !ok {
		return
	}
	d := planFields(func(k string) string { return f.fields[k] })
	res, err := s.runAlone(r.Context(), f.photo, nil, func(photo, picture string) []string {
		args := []string{"plan", "--json", "--photo", photo, "--heights", d.Height, "--picture", picture, "--hand", d.Hand, "--tail", d.Tail}
		if d.Species != "" {
			args = append(args, "--species", d.Species)
		}
		if text, err := s.text(intake.StandardFile); err == nil && text != "" {
			args = append(args, "--standard", s.path(intake.StandardFile))
		}
		return args
	})
	if err != nil {
		s.refuse(w, r, err)
		return
	}
	status := http.StatusOK
	var made plan.Plan
	switch {
	case !res.ok:
		d.Wrong, status = complain(s.language(r), errors.New(lastSentence(res.errs, f.name)), "wrong-block"), http.StatusUnprocessableEntity
	default:
		if err := json.Unmarshal([]byte(res.out), &made); err != nil {
			s.trouble(w, r, err)
			return
		}
		d.Plan = &made
		d.Picture = "/plan/picture/" + s.drawn.keep(owner(who), res.picture)
	}
	s.show(w, r, status, "plan", page{Title: "plan-title", Here: "plan", Data: d})
}

// planPicture sends the picture of a plan just made to who made it.
func (s *Server) planPicture(w http.ResponseWriter, r *http.Request, who account.Session) {
	jpeg := s.drawn.find(owner(who), r.PathValue("id"))
	if jpeg == nil {
		s.notFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Write(jpeg)
}
