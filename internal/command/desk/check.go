// Package desk holds the commands for what lies on the board: one tray or a few, one
// block, the mat and what the program must know to measure them.
package desk

import (
	"cmp"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/report"
	"netagauge/internal/work/class"
	"netagauge/internal/work/inspect"
	"netagauge/internal/work/record"
	"netagauge/internal/work/worker"
)

const checkHelp = `Measure every slice in a photo of a tray and hold it against the house standard.

  netagauge check tray.jpg --species salmon --thickness 4.2
  netagauge check tray.jpg --species tuna --thickness 1:4.2,2:3.9 \
    --html tray.html
  netagauge check tray.jpg --second moved.jpg --species tuna
  netagauge check tray.jpg --weight 1:11.8,2:12.4
  netagauge check *.jpg --species salmon --thickness 4.2

Without a thickness no weight is given: one photo cannot see it. Two photos can:
leave the tray as it is and move the phone sideways by a hand's length or two. A
photo named like another with .b before the ending, 7.b.jpg beside 7.jpg, is the
second one of its tray. A photo named - is read from standard input, and an
output named - goes to standard output in place of the text.

Exit codes: 0 all pass, 1 a slice fails, 2 wrong usage or a file that is not
there, 3 a photo was refused or unreadable, or the check was stopped.
`

// checkOptions are the flags of check.
type checkOptions struct {
	*command.Caller
	command.TicketFlags
	colour  command.ColourFlag
	second  string
	why     int
	json    bool
	csv     bool
	html    string
	picture string
}

// Check measures every slice of a tray.
func Check(ctx context.Context, args []string, to *command.Caller) (int, error) {
	o := checkOptions{Caller: to}
	f := command.NewFlags("check", checkHelp, to)
	o.TicketFlags.Register(f)
	f.StringVar(&o.second, "second", "", "second photo of the same tray from another place, instead of a thickness: both together show it")
	f.BoolVar(&o.json, "json", false, "write one JSON object a tray, one a line")
	f.BoolVar(&o.csv, "csv", false, "write CSV, one row a piece")
	f.IntVar(&o.why, "why", 0, "say where the weight interval of this piece number comes from")
	f.StringVar(&o.html, "html", "", "also write a page to this file")
	f.StringVar(&o.picture, "picture", "", "also write the annotated picture to this file, .jpg or .png (several trays: to this folder)")
	o.colour.Register(f)
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	tray, trays, err := o.trays(f.Args())
	if err != nil {
		return command.ExitUsage, err
	}
	return o.run(ctx, tray, trays)
}

// trays turns the flags into what every tray of the call shares, and the photos
// into trays.
func (o *checkOptions) trays(photos []string) (shared record.Tray, trays []class.Tray, err error) {
	switch {
	case len(photos) == 0:
		return shared, nil, command.Misuse("use-name-photo")
	case o.json && o.csv:
		return shared, nil, command.Misuse("use-either", "--json", "--csv")
	}
	if err := cmp.Or(command.OnDisk(photos...), command.Distinct(photos), command.PictureKind(o.picture), command.Placed(o.html)); err != nil {
		return shared, nil, err
	}
	if trays, err = class.Pair(photos); err != nil {
		return shared, nil, command.MisuseOf(err)
	}
	if len(trays) == 1 { // else it is a folder, which is made
		err = command.Placed(o.picture)
	}
	if err := cmp.Or(err, o.secondPhoto(trays)); err != nil {
		return shared, nil, err
	}
	shared.Ticket, err = o.Fill()
	return shared, trays, err
}

// secondPhoto gives the one tray the second photo that is named.
func (o *checkOptions) secondPhoto(trays []class.Tray) error {
	switch {
	case o.second == "":
		return nil
	case len(trays) > 1 || trays[0].Second != "":
		return command.Misuse("use-second-one")
	case o.Sources() > 0 || o.ProfileFile != "":
		return command.Misuse("use-second-thickness")
	}
	trays[0].Second = o.second
	return cmp.Or(command.OnDisk(o.second), command.Distinct([]string{trays[0].File, o.second}))
}

// run checks the trays one after another, so that results come in the order they
// were named and memory holds one photo.
func (o *checkOptions) run(ctx context.Context, shared record.Tray, trays []class.Tray) (int, error) {
	begin, err := command.Enclose(o.Caller, o.html, o.picture)
	if err != nil {
		return command.ExitRefused, err
	}
	text, err := command.Written(o.Out, o.html, o.picture)
	if err != nil {
		return command.ExitUsage, err
	}
	code := command.ExitPass
	var pages []report.Page
	for _, files := range trays {
		if err := begin(files.File); err != nil {
			return command.ExitRefused, err
		}
		res, err := checkTray(ctx, shared, files)
		var mistake inspect.InputError
		switch {
		case errors.As(err, &mistake):
			return command.ExitUsage, command.MisuseOf(phrase.At(files.File, mistake))
		case ctx.Err() != nil:
			return command.ExitRefused, o.stopped(text, pages, len(trays))
		case err != nil:
			return command.ExitRefused, err
		}
		code = max(code, command.CodeOf(res.Report, shared.Ticket.Standard))
		page, err := o.one(res, shared.Ticket.Standard, len(trays), text)
		if err != nil {
			return command.ExitUsage, err
		}
		pages = append(pages, page)
	}
	if err := o.finish(text, pages); err != nil {
		return command.ExitUsage, err
	}
	return code, nil
}

// stopped keeps what there is when the program is told to stop, and says so.
func (o *checkOptions) stopped(text io.Writer, pages []report.Page, of int) error {
	if err := o.finish(text, pages); err != nil {
		return err
	}
	return phrase.Wrong("ran-stopped", len(pages), of)
}

// checkTray reads and checks one tray; a file that cannot be read gives a refused
// report like one that cannot be decoded.
func checkTray(ctx context.Context, tray record.Tray, files class.Tray) (inspect.Result, error) {
	tray, err := command.ReadTray(files, tray.Ticket)
	if err != nil {
		return inspect.Unreadable(files.File, tray.Ticket, err), ctx.Err()
	}
	return worker.Inspect(ctx, tray)
}

// checkFile is checkTray for a single photo.
func checkFile(ctx context.Context, tray record.Tray, path string) (inspect.Result, error) {
	return checkTray(ctx, tray, class.Tray{File: path})
}

// one shows a tray as soon as it is measured and writes its picture.
func (o *checkOptions) one(res inspect.Result, s standard.Standard, of int, text io.Writer) (report.Page, error) {
	page := report.Page{Report: res.Report}
	if err := o.show(text, res.Report); err != nil {
		return page, err
	}
	if o.why > 0 && !o.json && !o.csv {
		if err := o.showBudget(text, res.Report); err != nil {
			return page, err
		}
	}
	if o.html == "" && o.picture == "" {
		return page, nil
	}
	jpeg, err := res.Picture(o.Language, s.Rice, 0)
	if err != nil || jpeg == nil {
		return page, err
	}
	if o.html != "" {
		page.Picture = jpeg
	}
	if o.picture == "" {
		return page, nil
	}
	path, err := o.pictureFile(res.Report.Photo.File, of)
	if err != nil {
		return page, err
	}
	return page, command.WriteTo(path, o.Out, func(w io.Writer) error { return command.WritePicture(w, path, jpeg) })
}

// pictureFile is where the picture of a photo goes: the file that was named, or, of
// several trays, one in the folder of that name, which is made.
func (o *checkOptions) pictureFile(photo string, of int) (string, error) {
	if st, err := os.Stat(o.picture); of == 1 && (err != nil || !st.IsDir()) {
		return o.picture, nil
	}
	if o.picture == command.Dash {
		return "", command.Misuse("use-pictures", of)
	}
	if err := command.Folder(o.picture); err != nil {
		return "", err
	}
	base := filepath.Base(photo)
	return filepath.Join(o.picture, strings.TrimSuffix(base, filepath.Ext(base))+".checked.jpg"), nil
}

// show writes what belongs to one tray as soon as it is measured.
func (o *checkOptions) show(out io.Writer, r piece.Tray) error {
	switch {
	case o.json:
		return report.JSON(out, r)
	case o.csv:
		return nil // one table, with the head once
	}
	return o.Words().TextPhoto(out, o.colour.On(out), r)
}

// finish writes what belongs to the whole call.
func (o *checkOptions) finish(text io.Writer, pages []report.Page) error {
	var reports []piece.Tray
	for _, p := range pages {
		reports = append(reports, p.Report)
	}
	var err error
	switch {
	case o.csv:
		err = report.CSV(text, reports...)
	case !o.json:
		err = o.Words().Summary(text, reports...)
	}
	if err != nil || o.html == "" {
		return err
	}
	return command.WriteTo(o.html, o.Out, func(w io.Writer) error { return o.Words().HTML(w, pages...) })
}
