package command

import (
	"strconv"

	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
)

// TicketFlags fill the ticket of the trays; several commands share them.
type TicketFlags struct {
	ticket.Ticket
	Celsius                                float64
	speciesFile, ProfileFile, StandardFile string
	Practice                               bool
}

// RegisterFlesh adds the options about what the fish is.
func (o *TicketFlags) RegisterFlesh(f *pflag.FlagSet) {
	f.StringVar(&o.Species, "species", "", "what lies on the tray (netagauge species lists the names)")
	f.StringVar(&o.Density, "density", "", "density of the flesh in g/cm³, instead of the species' own")
	f.Float64Var(&o.Celsius, "temperature", weight.ColdHeld, "temperature of the fish in °C")
}

// Register adds the options.
func (o *TicketFlags) Register(f *pflag.FlagSet) {
	o.RegisterFlesh(f)
	f.StringVar(&o.Thickness, "thickness", "", "thickness in mm, for the tray (4.1) or by piece (1:4.2,2:3.9)")
	f.StringVar(&o.Weights, "weight", "", "what a scale shows of single slices, in g, by piece (1:11.8,2:12.4); others by their thickness")
	f.StringVar(&o.ScaleInterval, "scale-interval", weight.UsualInterval, "steps in which that scale shows g")
	f.StringVar(&o.TrayWeight, "tray-weight", "", "weight of all slices in the photo on a scale, in g, instead of a thickness")
	f.StringVar(&o.ProfileFile, "profile", "", "profile of weighed slices of this species and cutter, instead of a thickness (netagauge profile keeps one)")
	f.StringVar(&o.Pitch, "pitch", "", "step of the knife along the block in mm, instead of a thickness, with --lay-angle and --plan-angle as cut")
	f.StringVar(&o.speciesFile, "species-file", "", "more species, a TOML file as netagauge species --help shows")
	f.StringVar(&o.LayAngle, "lay-angle", "", "angle between blade and board in degrees, 90 upright, for the tray (35) or by piece (1:30,2:45)")
	f.StringVar(&o.StandardFile, "standard", "", "house standard, a TOML file (built in: slices for nigiri)")
	f.BoolVar(&o.Practice, "practice", false, "use the built-in standard for practice slices, slightly larger")
	f.Float64Var(&o.Cut.Theta, "plan-angle", 0, "angle between the cut and the block's long axis in degrees, as cut (45 when not given)")
	f.Float64Var(&o.Cut.BlockWidth, "block-width", 0, "width of the block the slices came from in mm, for the advice")
	f.Float64Var(&o.Cut.BlockHeight, "block-height", 0, "height of the block in mm, for the advice")
	f.Float64Var(&o.SheetMM, "sheet", 0, "thickness of the clear sheet over the mat in mm")
}

// Fill reads the files that are named and checks the whole; its errors are wrong
// usage.
func (o *TicketFlags) Fill() (ticket.Ticket, error) {
	t, err := o.filled()
	if err != nil {
		return t, MisuseOf(err)
	}
	return t, nil
}

func (o *TicketFlags) filled() (t ticket.Ticket, err error) {
	t = o.Ticket
	if o.Practice && o.StandardFile != "" {
		return t, phrase.Wrong("use-either", "--standard", "--practice")
	}
	if t.Standard, err = LoadStandard(o.StandardFile, o.Practice); err != nil {
		return t, err
	}
	prints, err := loadPrints()
	if err != nil {
		return t, err
	}
	t.Prints = prints.Prints
	t.Temperature = strconv.FormatFloat(o.Celsius, 'g', -1, 64)
	if t.ScaleInterval == weight.UsualInterval {
		t.ScaleInterval = ""
	}
	if o.ProfileFile != "" {
		p, err := weight.LoadProfile(o.ProfileFile)
		if err != nil {
			return t, err
		}
		t.Profile = &p
	}
	if t.OwnSpecies, err = o.ownSpecies(); err != nil {
		return t, err
	}
	if t.Sources() > 1 {
		return t, phrase.Wrong("use-one-source")
	}
	return t, t.Check()
}

func (o *TicketFlags) ownSpecies() (weight.Table, error) {
	if o.speciesFile == "" {
		return nil, nil
	}
	return weight.LoadTable(o.speciesFile)
}

// OfOneTray refuses what belongs to a single tray where there are more.
func OfOneTray(t ticket.Ticket, trays int) error {
	switch {
	case trays == 1:
		return nil
	case t.TrayWeight != "":
		return Misuse("use-tray-weight-one")
	case t.BySlice():
		return Misuse("use-by-piece-one")
	}
	return nil
}

// LoadStandard reads a file, or gives one of the two that are built in.
func LoadStandard(path string, practice bool) (standard.Standard, error) {
	switch {
	case path != "":
		return standard.Load(path)
	case practice:
		return standard.Practice(), nil
	}
	return standard.Default(), nil
}
