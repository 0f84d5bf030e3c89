// Package inspect is the one place that knows the order of the steps: a photo's
// bytes go in, a report comes out. It passes values between the stages and
// decides which photo can be trusted; the stages do the work.
package inspect

import (
	"context"
	"image"

	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/printscale"
	"netagauge/internal/tell/report"
)

// Input is one photo and what the person knows of the tray.
type Input struct {
	Name     string // for the report, usually the file's name
	Data     []byte
	Second   Second // of the same tray, which then tells the thickness
	Standard standard.Standard
	Matter   weight.Matter
	Cut      coach.Cut        // how the slices were cut, as far as known
	SheetMM  float64          // thickness of the clear sheet over the mat, mm
	Prints   printscale.Store // verified scales of the kitchen's mats
}

// Result is the report and the mat as seen from straight above, at PxPerMM
// pixels a millimetre; Upright is nil when no mat was found.
type Result struct {
	Report  report.Report
	Upright *image.YCbCr
	PxPerMM float64
	Print   Print
}

// Photo checks one photo. A photo that cannot be read or trusted gives a
// report with status refused and the reasons; only a cancelled context or a
// fault of the program itself is an error.
func Photo(ctx context.Context, in Input) (Result, error) {
	res := Result{Report: newReport(in)}
	r := &res.Report
	a, refused, b, without := sights(in)
	if a.pic != nil {
		r.Photo.WidthPx, r.Photo.HeightPx = a.pic.Size()
	}
	if refused != nil {
		refuse(r, *refused)
		return res, ctx.Err()
	}
	r.Mat = matReport(a.found)
	r.Mat.Label = labelOf(a.pic, a.found)
	if err := outlines(&a, b); err != nil {
		return res, err
	}
	print := printOf(in, *r.Mat, a.found, a.pic.Luma(), a.seen)
	a.scale(print)
	res.Upright, res.PxPerMM = a.up.Picture, a.up.PxPerMM/print.value
	r.Mat.PrintScale = print.value
	res.Print = Print{print.value, uncertainty.Coverage * print.u, print.byCard}
	if p, off := print.problem(); off {
		r.Problems = append(r.Problems, p)
	}
	problems, trusted := quality(a.found, a.seen)
	r.Problems = append(r.Problems, problems...)
	if !trusted {
		r.Status = report.Refused
		return res, ctx.Err()
	}
	s := sceneOf(in, a)
	pieces := s.classify(a.seen)
	if b != nil {
		b.scale(print)
		without = s.heights(pieces, b)
	}
	if without != nil {
		r.Problems = append(r.Problems, *without)
	}
	each(pieces, s.measureOne)
	if err := s.weigh(pieces); err != nil {
		return res, err
	}
	s.judge(pieces)
	if p, none := unmeasured(pieces); none {
		r.Problems = append(r.Problems, p)
	}
	r.Pieces, r.Tray = pieceReports(pieces), s.tray(pieces)
	return res, ctx.Err()
}

// Unreadable is the result for a photo whose file could not be read.
func Unreadable(in Input, err error) Result {
	res := Result{Report: newReport(in)}
	refuse(&res.Report, unreadable(err))
	return res
}
