// Package matprint measures the scale of a printed mat from a photo of a known
// object on it, a bank card or a coin.
package matprint

import (
	"context"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/see/disc"
	"netagauge/internal/see/printscale"
	"netagauge/internal/work/inspect"
)

// RefusedError says that a photo cannot be trusted, and why.
type RefusedError struct{ Report piece.Tray }

func (e RefusedError) Error() string { return e.Unwrap().Error() }

// Unwrap is the photo's first problem.
func (e RefusedError) Unwrap() error {
	if len(e.Report.Problems) == 0 {
		return phrase.Wrong("print-unmeasured")
	}
	return phrase.Because(piece.ProblemError{Problem: e.Report.Problems[0]}, "print-unmeasured")
}

// Verify measures the print by a bank card lying on the mat's field, or by the one
// coin that is named. Its errors do not name the photo.
func Verify(ctx context.Context, photo inspect.Photo, coin string) (printscale.Verified, error) {
	v := printscale.Verified{By: printscale.Card()}
	var err error
	if coin != "" {
		if v.By, err = printscale.Coin(coin); err != nil {
			return v, err
		}
	}
	res, err := inspect.Tray(ctx, inspect.Photos{First: photo}, ticket.Ticket{Standard: standard.Default()})
	if err != nil {
		return v, err
	}
	if res.Report.Mat == nil || res.Report.Status == piece.TrayRefused {
		return v, RefusedError{res.Report}
	}
	v.Mat = inspect.MatKey(*res.Report.Mat)
	if coin == "" {
		v.Scale, err = byCard(res)
	} else {
		v.Scale, err = byCoin(photo.Data, v.By)
	}
	return v, err
}

// byCard is the print's scale by the card that the check saw.
func byCard(res inspect.Result) (uncertainty.Value, error) {
	if !res.Print.ByCard {
		return uncertainty.Value{}, phrase.Wrong("print-no-card")
	}
	return uncertainty.Value{X: res.Print.Scale, U: res.Print.U / uncertainty.Coverage}, nil
}

// byCoin is the print's scale by the one coin in the photo.
func byCoin(data []byte, coin printscale.Object) (uncertainty.Value, error) {
	seen, err := disc.Find(data)
	if err != nil {
		return uncertainty.Value{}, err
	}
	switch len(seen.Discs) {
	case 0:
		return uncertainty.Value{}, phrase.Wrong("print-no-coin")
	case 1:
		return printscale.OfCoin(coin, seen.Size(seen.Discs[0], coin.Rim()), seen.Paper)
	}
	return uncertainty.Value{}, phrase.Wrong("print-coins", coin.Name, float64(len(seen.Discs)))
}
