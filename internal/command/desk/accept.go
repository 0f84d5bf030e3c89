package desk

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/acceptance"
	"netagauge/internal/see/mat"
	"netagauge/internal/tell/handout"
	"netagauge/internal/tell/matpdf"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/matprint"
)

const acceptHelp = `Hold a whole installation, phone, mat, printer and program, against printed
shapes.

  netagauge accept --shapes shapes.pdf --size a4
  netagauge accept photo.jpg -o certificate.pdf

Print the sheet at 100 %, cut out its blue piece along the edge, lay it over the
mat's blue field, put a bank card on the free place, and photograph it as you
photograph trays. The certificate tells the largest error of length and area,
with date, phone and mat. With a steel ruler, measure the sheet's 100 mm bar and
give what it shows (--bar 99.6): printers stretch shapes and mats alike, and
only card and ruler tell.

Exit codes: 0 within the limits, 1 not, 2 wrong usage, 3 the photo was refused
or shows no card or shapes.
`

// Accept holds an installation against printed shapes.
func Accept(ctx context.Context, args []string, to *command.Caller) (int, error) {
	f := command.NewFlags("accept", acceptHelp, to)
	shapes := f.String("shapes", "", "write the sheet of shapes to this PDF instead of looking at a photo")
	size := f.String("size", "a4", "with --shapes: paper of the mat: a4, a3, letter or tabloid")
	edge := f.Bool("edge", false, "with --shapes: for a mat that was printed with --edge")
	bar := f.Float64("bar", 0, "what a ruler shows for the sheet's 100 mm bar, mm")
	length := f.Float64("length-limit", acceptance.Usual.Length, "largest error of a length, mm")
	area := f.Float64("area-limit", 100*acceptance.Usual.Area, "largest error of an area, %")
	path := f.StringP("output", "o", "", "also write the certificate to this PDF")
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	switch {
	case *shapes != "" && f.NArg() > 0:
		return command.ExitUsage, command.Misuse("use-shapes-alone")
	case *shapes != "":
		return writeShapes(*shapes, *size, *edge, to)
	case f.NArg() != 1:
		return command.ExitUsage, command.Misuse("use-accept-photo")
	case *bar != 0 && !(*bar >= 90 && *bar <= 110):
		return command.ExitUsage, command.Misuse("use-bar", *bar)
	}
	limits, err := limitsOf(*length, *area)
	if err != nil {
		return command.ExitUsage, err
	}
	c, code, err := certify(ctx, f.Arg(0), *path, *bar, limits, to)
	if err != nil {
		return code, err
	}
	return showCertificate(c, *path, to)
}

// certify holds the photo against the shapes in it; path is where the certificate will
// be written.
func certify(ctx context.Context, name, path string, bar float64, limits acceptance.Limits, to *command.Caller) (c acceptance.Certificate, code int, err error) {
	if err := command.OnDisk(name); err != nil {
		return c, command.ExitUsage, err
	}
	if err := command.EncloseOne(to, name, path); err != nil {
		return c, command.ExitRefused, err
	}
	read, err := command.ReadPhoto(name)
	if err != nil {
		return c, command.ExitRefused, phrase.At(name, err)
	}
	data, err := read.Read()
	if err == nil {
		c, err = matprint.Accept(ctx, inspect.Photo{Name: read.Name, Data: data}, bar, limits)
	}
	return c, command.ExitRefused, err
}

// limitsOf are the limits as typed: mm, and % of an area.
func limitsOf(length, area float64) (acceptance.Limits, error) {
	if !(length > 0 && area > 0) {
		return acceptance.Limits{}, command.Misuse("use-limit")
	}
	return acceptance.Limits{Length: length, Area: area / 100}, nil
}

func showCertificate(c acceptance.Certificate, path string, to *command.Caller) (int, error) {
	now := time.Now()
	fmt.Fprint(to.Out, handout.CertificateText(c, now, to.Language))
	if path != "" {
		if err := atomicfile.WriteTo(path, func(w io.Writer) error { return handout.Certificate(w, c, now, to.Language) }); err != nil {
			return command.ExitUsage, err
		}
		fmt.Fprintln(to.Out)
		to.Say("ran-written", path)
	}
	if !c.Passed() {
		return command.ExitFails, nil
	}
	return command.ExitPass, nil
}

func writeShapes(path, size string, edge bool, to *command.Caller) (int, error) {
	l, err := mat.ToPrint(strings.ToLower(size), edge)
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	s, err := acceptance.SheetFor(l)
	if err != nil {
		return command.ExitUsage, err
	}
	if err := atomicfile.WriteTo(path, func(w io.Writer) error { return matpdf.WriteShapes(w, s, to.Language) }); err != nil {
		return command.ExitUsage, err
	}
	to.Say("ran-sheet", path)
	return command.ExitPass, nil
}
