// Package inspect is the one place that knows the order of the steps: a photo's
// bytes go in, a report comes out. It passes values between the stages and
// decides which photo can be trusted; the stages do the work.
package inspect

import (
	"context"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/photo"
)

// Photo is one photo by the name that people know it by; no Data for none.
type Photo struct {
	Name string
	Data []byte
}

// Photos are those of one tray. The second, if there is one, is taken from another
// place and tells the thickness.
type Photos struct{ First, Second Photo }

// job is what the measurement of a tray rests on, its ticket read.
type job struct {
	Photos
	ticket.Ticket
	Matter weight.Matter
}

// Result is the report, and what it needs to be drawn.
type Result struct {
	Report piece.Tray
	Print  Print

	seenBy *sight         // the first photo, as the mat was found in it; nil when it was not
	photo  *photo.Picture // the first photo; nil when it could not be read
}

// Tray measures the tray in one photo or two and holds it against the standard of
// its ticket. A photo that cannot be read or trusted gives a report with status
// refused and the reasons. An InputError says what on the ticket cannot be, or
// does not fit the tray; any other error is a cancelled context or a fault of the
// program itself.
func Tray(ctx context.Context, photos Photos, t ticket.Ticket) (Result, error) {
	m, err := t.Matter()
	if err != nil {
		return Result{}, InputError{err}
	}
	in := job{photos, t, m}
	go phrase.English().Own() // its words are read while the photo is decoded: problems are told in them
	res, err := look(ctx, in)
	res.Report.Facts = t.Facts(&res.Report)
	return res, err
}

// look takes the steps in their order.
func look(ctx context.Context, in job) (Result, error) {
	res := Result{Report: newReport(in)}
	r := &res.Report
	a, refused, b, without := sights(in)
	if a.pic != nil {
		res.photo = a.pic
		r.Photo.WidthPx, r.Photo.HeightPx = a.pic.Size()
		r.Photo.TakenOn(a.pic.Taken)
	}
	if refused != nil {
		refuse(r, *refused)
		return res, ctx.Err()
	}
	r.Mat = matReport(a.found)
	res.seenBy = &sight{pic: a.pic, found: a.found} // in nominal mm
	r.Mat.Label = labelOf(a.pic, a.found)
	if err := outlines(&a, b); err != nil {
		return res, err
	}
	print := printOf(in, *r.Mat, a.found, a.pic.Luma(), a.seen)
	a.scale(print)
	r.Mat.PrintScale, r.Mat.PrintFrom, r.Mat.PrintDay = print.value, print.from, print.day
	res.Print = Print{print.value, uncertainty.Coverage * print.u, print.byCard}
	if p, off := print.problem(); off {
		r.Problems = append(r.Problems, p)
	}
	q := quality(a.found, a.seen)
	r.Problems = append(r.Problems, q.problems...)
	if q.untrusted != nil {
		r.Status = piece.TrayRefused
		return res, ctx.Err()
	}
	s := sceneOf(in, a)
	pieces := s.classify(a.seen)
	if b != nil {
		if bad := quality(b.found, b.seen).untrusted; bad != nil {
			without = ofSecond(*bad)
		} else {
			b.scale(print)
			without = s.heights(pieces, b)
		}
	}
	if without != nil {
		r.Problems = append(r.Problems, *without)
	}
	if err := s.fill(r, pieces); err != nil {
		return res, err
	}
	return res, ctx.Err()
}

// fill measures, weighs and judges the pieces, and puts them into the report.
func (s *scene) fill(r *piece.Tray, pieces []*thing) error {
	s.measure(pieces)
	if err := s.weigh(pieces); err != nil {
		return err
	}
	says := s.judge(pieces)
	if p, none := unmeasured(pieces); none {
		r.Problems = append(r.Problems, p)
	}
	r.Pieces = pieceReports(pieces)
	r.Tally = tally(*r, says)
	return nil
}

// Unreadable is the result for a photo whose file could not be read.
func Unreadable(name string, t ticket.Ticket, err error) Result {
	species, _ := t.Fish()
	res := Result{Report: newReport(job{Photos{First: Photo{Name: name}}, t, weight.Matter{Species: species}})}
	refuse(&res.Report, unreadable(err))
	res.Report.Facts = t.Facts(&res.Report)
	return res
}
