package serve

import (
	"context"
	"errors"
	"math"
	"net/http"
	"time"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/reference"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// sendReference takes in a photo of the teacher's own tray. It goes to a class of its
// own, so that the teacher is on no board, with what is told of the open one, and is that
// one's reference.
func (s *Server) sendReference(w http.ResponseWriter, r *http.Request, who account.Session) error {
	f, err := s.photoForm(w, r, who)
	if err != nil {
		return err
	}
	open, found, err := s.openedClass(r.Context())
	if err != nil {
		return err
	}
	if !found {
		return problem(http.StatusConflict, "no-class", "no-class-yet")
	}
	to := intake.Session{Kind: intake.Class, Name: s.language(r).Word("reference-trays"), HeldOn: time.Now(), Ticket: open.Ticket}
	if before, err := s.Folder.Session(r.Context(), intake.Class, to.Name); err == nil {
		to.HeldOn = before.HeldOn
	}
	if err := s.Folder.SetSession(r.Context(), to); err != nil {
		return err
	}
	return s.receive(w, r, who, to, who.Who, f)
}

// setReference makes a tray the reference of the open class, or ends that.
func (s *Server) setReference(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.withResult(r, who)
	if err != nil {
		return err
	}
	open, found, err := s.openedClass(r.Context())
	if err == nil && found {
		shot := x.ID
		if r.PostFormValue("end") != "" {
			shot = ""
		}
		err = s.Folder.Book().SetReference(r.Context(), open.Name, shot)
	}
	if err != nil {
		return err
	}
	return redirect(w, r, "/shots/"+x.ID)
}

// besideData is a tray laid over the reference.
type besideData struct {
	Below      string // points of the reference's typical slice
	Over       []overData
	X, Y, W, H float64
	Rows       []besideRow
}

type overData struct {
	Number        int
	Class, Points string
}

// besideRow is one measure of both trays.
type besideRow struct {
	Key                string
	Off, OffU          string
	Spread, References string // standard deviations
	Unit               string
	Clear              bool // the difference is none by chance
}

// referData is what a teacher may do with a tray: make it the reference of a class, or
// end that.
type referData struct {
	Class string
	Is    bool
}

// besides are what a photo's page says of references.
func (s *Server) besides(ctx context.Context, who account.Session, x intake.Shot) (*besideData, *referData, error) {
	tray, err := s.trayOf(ctx, x)
	if err != nil {
		return nil, nil, err
	}
	beside, err := s.overlaid(ctx, x, tray)
	if err != nil || who.Role != account.Instructor || x.Kind != intake.Class || len(countedSlices(tray)) == 0 {
		return beside, nil, err
	}
	open, found, err := s.openedClass(ctx)
	if err != nil || !found {
		return beside, nil, err
	}
	a, err := s.Folder.Book().Assignment(ctx, open.Name)
	return beside, &referData{open.Name, a.Reference == x.ID}, err
}

// referenceOf are the slices of a class's reference tray; none where there is none, or it
// was not measured.
func (s *Server) referenceOf(ctx context.Context, class string) (slices []piece.Piece, shot string, err error) {
	a, err := s.Folder.Book().Assignment(ctx, class)
	if err != nil || a.Reference == "" {
		return nil, "", err
	}
	x, err := s.Folder.Shot(ctx, a.Reference)
	if errors.Is(err, intake.ErrUnknown) || err == nil && x.Result == 0 {
		return nil, a.Reference, nil
	}
	if err != nil {
		return nil, "", err
	}
	tray, err := s.trayOf(ctx, x)
	return countedSlices(tray), a.Reference, err
}

func countedSlices(tray grade.Tray) []piece.Piece {
	var out []piece.Piece
	for _, x := range grade.Slices([]grade.Tray{tray}) {
		if x.State == piece.Measured {
			out = append(out, x.Piece)
		}
	}
	return out
}

// fewestBeside are the slices that a tray needs to be laid over another. Our setting.
const fewestBeside = 2

// overlaid lays a tray of a class over the reference; nil where there is none to lay it
// over.
func (s *Server) overlaid(ctx context.Context, x intake.Shot, tray grade.Tray) (*besideData, error) {
	if x.Kind != intake.Class {
		return nil, nil
	}
	theirs, shot, err := s.referenceOf(ctx, x.Session)
	own := countedSlices(tray)
	typical, ok := reference.Typical(theirs)
	if err != nil || !ok || shot == x.ID || len(own) < fewestBeside {
		return nil, err
	}
	below, over := reference.Over(typical, own)
	out := &besideData{}
	reach := r2.Vec{}
	for _, p := range append([]reference.Laid{{Outline: below}}, over...) {
		for _, q := range p.Outline {
			reach = r2.Vec{X: math.Max(reach.X, math.Abs(q.X)), Y: math.Max(reach.Y, math.Abs(q.Y))}
		}
	}
	const rim = 4 // mm
	k := screenWidth / (2 * (reach.X + rim))
	out.X, out.Y, out.W, out.H = -k*(reach.X+rim), -k*(reach.Y+rim), 2*k*(reach.X+rim), 2*k*(reach.Y+rim)
	out.Below = pointsOf(below, k)
	for i, l := range over {
		out.Over = append(out.Over, overData{l.Number, classes[own[i].Verdict], pointsOf(l.Outline, k)})
	}
	for _, d := range reference.Spreads(theirs, own) {
		digits := d.Measure.Digits
		out.Rows = append(out.Rows, besideRow{Key: d.Measure.Key, Unit: d.Measure.Unit.Sign, Clear: d.Off.Clear(),
			Off: uncertainty.Signed(d.Off.Value, digits), OffU: uncertainty.Decimal(d.Off.High-d.Off.Value, digits),
			Spread: uncertainty.Decimal(d.SD, digits), References: uncertainty.Decimal(d.ReferenceSD, digits)})
	}
	return out, nil
}

func pointsOf(outline []r2.Vec, k float64) string {
	mm := make([][2]float64, len(outline))
	for i, q := range outline {
		mm[i] = [2]float64{q.X, q.Y}
	}
	return points(frame{scale: k}, mm)
}
