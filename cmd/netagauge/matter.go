package main

import (
	"errors"
	"strconv"

	"github.com/spf13/pflag"

	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/weight"
)

// matterOptions say what lies on the tray; several commands share them.
type matterOptions struct {
	species, density, thickness, trayWeight, layAngle string
	speciesFile, profile, pitch                       string
	temperature                                       float64
}

func (o *matterOptions) register(f *pflag.FlagSet) {
	f.StringVar(&o.species, "species", "", "what lies on the tray (netagauge species lists the names)")
	f.StringVar(&o.density, "density", "", "density of the flesh in g/cm³, instead of the species' own")
	f.StringVar(&o.thickness, "thickness", "", "thickness in mm, for the tray (4.1) or by piece (1:4.2,2:3.9)")
	f.StringVar(&o.trayWeight, "tray-weight", "", "weight of all slices in the photo on a scale, in g, instead of a thickness")
	f.StringVar(&o.profile, "profile", "", "profile of weighed slices of this species and cutter, instead of a thickness (netagauge profile keeps one)")
	f.StringVar(&o.pitch, "pitch", "", "step of the knife along the block in mm, instead of a thickness, with --lay-angle and --plan-angle as cut")
	f.StringVar(&o.speciesFile, "species-file", "", "more species, a TOML file as netagauge species --help shows")
	f.StringVar(&o.layAngle, "lay-angle", "", "angle between blade and board in degrees, 90 upright, for the tray (35) or by piece (1:30,2:45)")
	f.Float64Var(&o.temperature, "temperature", weight.ColdHeld, "temperature of the fish in °C")
}

// matter resolves species, density and thickness; its errors are wrong usage.
func (o *matterOptions) matter(theta float64) (weight.Matter, error) {
	m, err := o.flesh()
	if err != nil {
		return m, usageError{err}
	}
	if err := o.source(&m, theta); err != nil {
		return m, usageError{err}
	}
	if o.layAngle != "" {
		l, err := weight.ParseLayAngle(o.layAngle)
		if err != nil {
			return m, usageError{err}
		}
		m.LayAngles = l
	}
	return m, nil
}

// flesh is what is told of the species and its density.
func (o *matterOptions) flesh() (weight.Matter, error) {
	table := weight.BuiltIn()
	if o.speciesFile != "" {
		own, err := weight.LoadTable(o.speciesFile)
		if err != nil {
			return weight.Matter{}, err
		}
		table = table.With(own)
	}
	return table.Matter(o.species, o.density, o.temperature)
}

// source fills in where the thickness comes from: one of them, or none.
func (o *matterOptions) source(m *weight.Matter, theta float64) (err error) {
	switch {
	case o.sources() > 1:
		return errors.New("choose one of --thickness, --tray-weight, --profile and --pitch")
	case o.thickness != "":
		m.Thickness, err = asSource(weight.ParseThickness(o.thickness))
	case o.trayWeight != "":
		m.Thickness, err = asSource(weight.ParseTrayWeight(o.trayWeight))
	case o.pitch != "":
		m.Thickness, err = o.pitchSource(theta)
	case o.profile != "":
		m.Thickness, err = o.profileSource(m.Species)
	}
	return err
}

// sources is how many ways to tell the thickness were given.
func (o *matterOptions) sources() (n int) {
	for _, v := range []string{o.thickness, o.trayWeight, o.profile, o.pitch} {
		if v != "" {
			n++
		}
	}
	return n
}

// asSource keeps a failed parse from becoming a source that is not nil.
func asSource[S weight.Source](s S, err error) (weight.Source, error) {
	if err != nil {
		return nil, err
	}
	return s, nil
}

// pitchSource needs one lay angle for all cuts; upright and 45° are taken where
// none was told.
func (o *matterOptions) pitchSource(theta float64) (weight.Source, error) {
	phi := 90.0
	if o.layAngle != "" {
		v, err := strconv.ParseFloat(o.layAngle, 64)
		if err != nil {
			return nil, errors.New("--pitch needs one --lay-angle for the whole tray")
		}
		phi = v
	}
	if theta == 0 {
		theta = coach.DefaultTheta
	}
	return asSource(weight.ParsePitch(o.pitch, theta, phi))
}

func (o *matterOptions) profileSource(species string) (weight.Source, error) {
	p, err := weight.LoadProfile(o.profile)
	if err != nil {
		return nil, err
	}
	if err := p.CheckFor(species); err != nil {
		return nil, err
	}
	return asSource(p.Fit())
}
