package matprint

import (
	"context"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/acceptance"
	"netagauge/internal/see/mat"
	"netagauge/internal/work/inspect"
)

// Accept holds an installation against the sheet of shapes that lies on the mat in
// the photo, a bank card beside them: mat and shapes may come from one printer, and
// only the card tells what a millimetre is. bar is what a ruler shows for the
// sheet's bar of 100 mm; 0 takes the sheet as printed true.
func Accept(ctx context.Context, photo inspect.Photo, bar float64, limits acceptance.Limits) (acceptance.Certificate, error) {
	seen, err := inspect.Flat(ctx, photo)
	if err != nil {
		return acceptance.Certificate{}, err
	}
	if !seen.Print.ByCard {
		return acceptance.Certificate{}, phrase.Wrong("proof-no-card", photo.Name)
	}
	l, err := mat.ByName(seen.Mat.Name)
	if err != nil {
		return acceptance.Certificate{}, err
	}
	sheet, err := acceptance.SheetFor(l)
	if err != nil {
		return acceptance.Certificate{}, err
	}
	return acceptance.Certify(sheet, acceptance.Photographed{
		Photo: photo.Name, Phone: seen.Phone, Taken: seen.Taken, Mat: inspect.MatKey(seen.Mat),
		Outlines: seen.Outlines, Card: seen.Print.Scale, CardU: seen.Print.U,
	}, bar, limits)
}
