package desk

import (
	"context"
	"io"
	"strings"

	"netagauge/internal/command"
	"netagauge/internal/see/label"
	"netagauge/internal/see/mat"
	"netagauge/internal/tell/matpdf"
)

const matHelp = `Write the mat as a PDF to print at 100 %.

  netagauge mat --size a4 -o mat-a4.pdf
  netagauge mat --size a3 --label "Tray 07" --label "Tray 08" -o mats.pdf

  netagauge mat --verify card.jpg
  netagauge mat --verify coin.jpg --coin "100 yen"

With a bank card lying on a printed mat's field, or the one coin that --coin
names, --verify measures the print's scale from a photo and keeps it for that
mat (by its label, else its size). A card tells it to 0.3 %, a coin to 0.8 %.
Sizes: a4, a3, letter, tabloid. A label is printed in words and as a QR code,
one mat a page.
`

// Mat writes the mat to print, or verifies a print.
func Mat(ctx context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("mat", matHelp, to)
	size := f.String("size", "a4", "paper: a4, a3, letter or tabloid")
	path := f.StringP("output", "o", "", "file to write (mat-SIZE.pdf)")
	edge := f.Bool("edge", false, "rulers and bar at the paper's edge, for printers that print there: the field is 6 to 8 mm larger")
	labels := f.StringArray("label", nil, "print a `label` on the mat; repeat for several mats")
	verify := f.String("verify", "", "photo of a bank card or a coin on a printed mat: measure and keep the print's scale")
	coin := f.String("coin", "", "with --verify: the coin that lies there instead of a card, such as \"100 yen\" or \"2 euro\"")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if *verify != "" {
		return verifyPrint(ctx, *verify, *coin, to)
	}
	if *coin != "" {
		return command.ExitUsage, command.Misuse("use-coin")
	}
	layout, err := mat.ToPrint(strings.ToLower(*size), *edge)
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	for _, l := range *labels {
		if err := label.Check(l); err != nil {
			return command.ExitUsage, command.MisuseOf(err)
		}
	}
	if *path == "" {
		*path = "mat-" + layout.Name + ".pdf"
	}
	if err := command.WriteTo(*path, to.Out, func(w io.Writer) error { return matpdf.Write(w, layout, *labels, to.Language) }); err != nil {
		return command.ExitUsage, err
	}
	if *path == command.Dash {
		return command.ExitPass, nil
	}
	to.Say("ran-mat", *path)
	return command.ExitPass, nil
}
