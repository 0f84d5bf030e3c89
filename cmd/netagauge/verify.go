package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/see/disc"
	"netagauge/internal/see/photo"
	"netagauge/internal/see/printscale"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/record"
)

// verifyPrint measures a known object on a mat, a bank card or the named coin,
// and keeps the print's scale for that mat.
func verifyPrint(ctx context.Context, path, coin string, out io.Writer) (int, error) {
	object := printscale.Card()
	if coin != "" {
		var err error
		if object, err = printscale.Coin(coin); err != nil {
			return exitUsage, usageError{err}
		}
	}
	res, err := checkFile(ctx, record.Tray{Ticket: ticket.Ticket{Standard: standard.Default()}}, path)
	if err != nil {
		return exitRefused, err
	}
	if res.Report.Mat == nil || res.Report.Status == piece.TrayRefused {
		if err := report.TextPhoto(out, report.ColourFor(out), res.Report); err != nil {
			return exitRefused, err
		}
		return exitRefused, fmt.Errorf("%s: the print cannot be measured in this photo", path)
	}
	scale, err := cardPrint(res)
	if coin != "" {
		scale, err = coinPrint(path, object)
	}
	if err != nil {
		return exitRefused, fmt.Errorf("%s: %w", path, err)
	}
	return keepPrint(inspect.MatKey(*res.Report.Mat), object, scale, out)
}

// cardPrint is the print's scale by the card that the check saw.
func cardPrint(res inspect.Result) (uncertainty.Value, error) {
	if !res.Print.ByCard {
		return uncertainty.Value{}, errors.New("no bank card is seen on the mat's field; lay one there, flat and whole, and photograph it from above")
	}
	return uncertainty.Value{X: res.Print.Scale, U: res.Print.U / uncertainty.Coverage}, nil
}

// coinPrint is the print's scale by the one coin in the photo.
func coinPrint(path string, coin printscale.Object) (uncertainty.Value, error) {
	data, err := photo.Read(path)
	if err != nil {
		return uncertainty.Value{}, err
	}
	seen, err := disc.Find(data)
	if err != nil {
		return uncertainty.Value{}, err
	}
	switch len(seen.Discs) {
	case 0:
		return uncertainty.Value{}, errors.New("no coin is seen on the mat's field; lay one near its middle, flat and clear of all else, and photograph it from above")
	case 1:
		return printscale.OfCoin(coin, seen.Size(seen.Discs[0], coin.Rim()), seen.Paper)
	}
	return uncertainty.Value{}, fmt.Errorf("%d round things lie on the mat: leave only the %s coin", len(seen.Discs), coin.Name)
}

// keepPrint keeps a mat's scale. An object so small that its interval holds 100 %
// tells no more than that the print may be true, which later checks know better:
// then the scale is kept only where it replaces another.
func keepPrint(mat string, by printscale.Object, scale uncertainty.Value, out io.Writer) (int, error) {
	path, err := printsFile()
	if err != nil {
		return exitUsage, err
	}
	store, err := printscale.Load(path)
	if err != nil {
		return exitUsage, err
	}
	said := fmt.Sprintf("mat %s is printed at %.2f %% ± %.2f %%, by a %s.", mat, 100*scale.X, 100*scale.Expanded(), by.Title())
	if _, had := store.Find(mat); !had && by != printscale.Card() && math.Abs(scale.X-1) < scale.Expanded() {
		fmt.Fprintln(out, said, "100 % lies within that, so nothing is kept. A bank card tells more.")
		return exitPass, nil
	}
	store = store.With(printscale.Record{Mat: mat, Scale: scale.X, U: scale.Expanded(), Object: by.Name, Day: time.Now().Format(time.DateOnly)})
	if err := store.Save(path); err != nil {
		return exitUsage, err
	}
	fmt.Fprintf(out, "%s Kept in %s; checks on this mat use it.\n", said, path)
	return exitPass, nil
}
