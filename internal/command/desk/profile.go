package desk

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/judge/weight/residual"
	"netagauge/internal/work/record"
)

const profileHelp = `Keep what one cutter's slices of one species weigh for their area.

Weigh a few slices of a photo one by one and enter them by their numbers:
  netagauge profile salmon-ann.toml tray.jpg --weighed 2:11.3,5:12.0 \
    --species salmon --cutter Ann
Look at what the profile is worth:
  netagauge profile salmon-ann.toml --plot residuals.svg

A profile is used only where it beats always guessing the same weight.

Exit codes: 0 kept or shown, 1 the profile does not beat the guess, 2 wrong
usage, 3 the photo was refused.
`

// profileOptions are the flags of profile.
type profileOptions struct {
	species, cutter, weighed, plot string
}

// Profile keeps what slices weigh for their area.
func Profile(ctx context.Context, args []string, to *command.Caller) (int, error) {
	var o profileOptions
	f := command.NewFlags("profile", profileHelp, to)
	f.StringVar(&o.weighed, "weighed", "", "pieces of the photo weighed one by one, in g, such as 2:11.3,5:12.0")
	f.StringVar(&o.species, "species", "", "what the slices are (a new profile needs it)")
	f.StringVar(&o.cutter, "cutter", "", "who cut them (a new profile needs it)")
	f.StringVar(&o.plot, "plot", "", "also draw the residuals to this SVG file")
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	if err := o.check(f); err != nil {
		return command.ExitUsage, err
	}
	if f.NArg() == 2 {
		if err := command.OnDisk(f.Arg(1)); err != nil {
			return command.ExitUsage, err
		}
	}
	p, err := o.open(f.Arg(0))
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	if f.NArg() == 2 {
		if code, err := o.add(ctx, &p, f.Arg(0), f.Arg(1), to); err != nil {
			return code, err
		}
	}
	return o.show(to, p)
}

func (o *profileOptions) check(f *pflag.FlagSet) error {
	switch {
	case f.NArg() == 0 || f.NArg() > 2:
		return command.Misuse("use-profile-file")
	case f.NArg() == 2 && o.weighed == "":
		return command.Misuse("use-profile-weighed", command.Quoted(f.Arg(1)))
	case f.NArg() == 1 && o.weighed != "":
		return command.Misuse("use-profile-photo")
	}
	return nil
}

// open reads the profile, or begins one where a photo is to be added and there
// is no such file yet. What is said of species and cutter must agree with it.
func (o *profileOptions) open(path string) (weight.Profile, error) {
	species := o.species
	if species != "" {
		s, err := weight.BuiltIn().Find(species)
		if err != nil {
			return weight.Profile{}, err
		}
		species = s.Name
	}
	p, err := weight.LoadProfile(path)
	if errors.Is(err, fs.ErrNotExist) && o.weighed != "" {
		if species == "" || o.cutter == "" {
			return p, phrase.Wrong("use-profile-new", command.Quoted(path))
		}
		return weight.Profile{Species: species, Cutter: o.cutter}, nil
	}
	if err != nil {
		return p, err
	}
	if o.cutter != "" && o.cutter != p.Cutter {
		return p, phrase.Wrong("use-profile-cutter", command.Quoted(path), p.Cutter, o.cutter)
	}
	if species != "" {
		return p, p.CheckFor(species)
	}
	return p, nil
}

// add measures the photo and keeps the weighed pieces in the profile's file.
func (o *profileOptions) add(ctx context.Context, p *weight.Profile, path, photo string, to *command.Caller) (int, error) {
	if err := command.EncloseOne(to, photo, path, o.plot); err != nil {
		return command.ExitRefused, err
	}
	res, err := checkFile(ctx, record.Tray{Ticket: ticket.Ticket{Standard: standard.Default()}}, photo)
	if err != nil {
		return command.ExitRefused, err
	}
	if res.Report.Status != piece.TrayMeasured {
		return command.ExitRefused, command.Refusal(photo, res.Report)
	}
	grown, err := p.Add(filepath.Base(photo), o.weighed, slicesOf(res.Report))
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	*p = grown
	text, err := p.Encode()
	if err != nil {
		return command.ExitUsage, err
	}
	return command.ExitUsage, atomicfile.Write(path, text)
}

func slicesOf(r piece.Tray) []weight.Piece {
	var out []weight.Piece
	for _, p := range r.MeasuredPieces() {
		area := uncertainty.Value{X: p.Area.X, U: p.Area.U / uncertainty.Coverage}
		out = append(out, weight.Piece{Number: p.Number, Slice: weight.Slice{Area: area, Extent: p.OverallLength.X}})
	}
	return out
}

// show says what the profile is worth, and draws it where that is wanted.
func (o *profileOptions) show(to *command.Caller, p weight.Profile) (int, error) {
	to.Say("ran-profile", p.Species, p.Cutter, len(p.Pieces))
	f, err := p.Fit()
	var none weight.NoBetterError
	if err != nil && !errors.As(err, &none) {
		fmt.Fprintln(to.Out, to.Must(phrase.Because(err, "ran-profile-not-yet").Says))
		return command.ExitPass, nil
	}
	code := command.ExitPass
	to.Say("ran-profile-area", 100*f.PerArea, 100*f.SD)
	to.Say("ran-profile-error", 100*f.Error, 100*f.Guess)
	if err != nil {
		code = command.ExitFails
		fmt.Fprintln(to.Out, to.Must(phrase.Because(err, "ran-profile-unusable").Says))
	}
	if o.plot == "" {
		return code, nil
	}
	svg, err := residual.SVG(f)
	if err != nil {
		return command.ExitUsage, err
	}
	return code, atomicfile.Write(o.plot, svg)
}
