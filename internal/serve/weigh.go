package serve

import (
	"cmp"
	"net/http"
	"strconv"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/textfile"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// weighData fills the form that takes what a scale said of single slices.
type weighData struct {
	Fields    []weighField
	Others    []weighField // told before, of slices that the form does not show
	Intervals []string     // steps of scales, g
	Interval  string       // that which was told, or the usual one
}

type weighField struct {
	Number int
	Grams  string // what was told before
}

// scaleSteps are those of kitchen scales, g.
var scaleSteps = []string{"1", "0.5", "0.1", "0.01"}

// weighOf is the form for the measured slices of a tray; nil where there is none.
func weighOf(t ticket.Ticket, pieces []pieceData) *weighData {
	told := map[string]string{}
	for part := range strings.SplitSeq(t.Weights, ",") {
		number, grams, _ := strings.Cut(part, ":")
		told[strings.TrimSpace(number)] = strings.TrimSpace(grams)
	}
	out := &weighData{Intervals: scaleSteps, Interval: cmp.Or(t.ScaleInterval, weight.UsualInterval)}
	for _, p := range pieces {
		if p.State == piece.Measured {
			out.Fields = append(out.Fields, weighField{p.Number, told[strconv.Itoa(p.Number)]})
		}
	}
	if len(out.Fields) == 0 {
		return nil
	}
	return out
}

// othersTold are the readings told of other slices than one.
func othersTold(t ticket.Ticket, but int) []weighField {
	var out []weighField
	for part := range strings.SplitSeq(t.Weights, ",") {
		number, grams, _ := strings.Cut(part, ":")
		if n, err := strconv.Atoi(strings.TrimSpace(number)); err == nil && n != but {
			out = append(out, weighField{n, strings.TrimSpace(grams)})
		}
	}
	return out
}

// weigh measures a tray anew with what a scale said of its slices, in place of what
// was told of them before.
func (s *Server) weigh(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.toTell(r, who)
	if err != nil {
		return err
	}
	report, err := s.Folder.Book().Report(r.Context(), x.Result)
	if err != nil {
		return err
	}
	told := x.Ticket
	var whole, ok bool
	if told.Weights, whole, ok = readings(r, report.MeasuredPieces()); !ok {
		return problem(http.StatusUnprocessableEntity, "entered-wrong", "weigh-wrong")
	}
	told.ScaleInterval = ""
	if step := r.PostFormValue("interval"); told.Weights != "" && step != weight.UsualInterval {
		told.ScaleInterval = step
	}
	if whole {
		told.TrayWeight = "" // each slice's own says more
	}
	if _, err := s.Folder.Again(r.Context(), x.ID, told); err != nil {
		return s.refused(r, err)
	}
	return redirect(w, r, "/shots/"+x.ID)
}

// readings are the filled fields of the form as a ticket has them; whole when all
// are. It reports false when a field holds more than one number.
func readings(r *http.Request, measured []piece.Piece) (told string, whole, ok bool) {
	var out []string
	for _, p := range measured {
		number := strconv.Itoa(p.Number)
		grams := textfile.Decimal(r.PostFormValue("slice-" + number))
		if strings.ContainsAny(grams, ",:") {
			return "", false, false
		}
		if grams != "" {
			out = append(out, number+":"+grams)
		}
	}
	return strings.Join(out, ","), len(out) == len(measured), true
}

// again measures a photo anew with other numbers.
func (s *Server) again(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.toTell(r, who)
	if err != nil {
		return err
	}
	told := x.Ticket
	if err := enter(&told, formFields(r)); err != nil {
		return s.refused(r, err)
	}
	if _, err := s.Folder.Again(r.Context(), x.ID, told); err != nil {
		return refusedAgain(s.language(r), err)
	}
	return redirect(w, r, "/shots/"+x.ID)
}

// toTell is a visible photo with a result, of which more is told, unless it is too much at
// once.
func (s *Server) toTell(r *http.Request, who account.Session) (x intake.Shot, err error) {
	if x, err = s.visible(r, who); err != nil {
		return x, err
	}
	done, err := try(s.sending, owner(who))
	if err != nil {
		return x, err
	}
	done(true) // each measures once more
	if x.Result == 0 || !x.Done() {
		err = errNotFound
	}
	return x, err
}
