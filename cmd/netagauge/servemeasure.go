package main

import (
	"context"
	"fmt"
	"io"

	"netagauge/internal/inspect"
	"netagauge/internal/intake"
	"netagauge/internal/printscale"
)

// measure measures what waits until ctx is done.
func (o *serveOptions) measure(ctx context.Context, f *intake.Folder, errw io.Writer) error {
	changes := f.Watch(ctx)
	for ctx.Err() == nil {
		s, found, err := f.Next(ctx)
		if err != nil {
			return err
		}
		if !found {
			<-changes
			continue
		}
		if err := measureOne(ctx, f, s); err != nil && ctx.Err() == nil {
			fmt.Fprintf(errw, "netagauge serve: photo %d: %v\n", s.Number, err)
			if err := f.Fail(ctx, s, intake.CodeMistake, err.Error()); err != nil {
				return err
			}
		}
	}
	return nil
}

func measureOne(ctx context.Context, f *intake.Folder, s intake.Shot) error {
	file, err := f.OpenPhoto(s)
	if err != nil {
		return err
	}
	defer file.Close()
	data, err := io.ReadAll(file)
	if err != nil {
		return err
	}
	m, err := s.Told.Matter()
	if err != nil {
		return err
	}
	r, picture, err := checkPhoto(ctx, inspect.Input{Standard: s.Told.Standard, Cut: s.Told.Cut, SheetMM: s.Told.SheetMM, Prints: printscale.Store{Prints: s.Told.Prints},
		Matter: inspect.Matter{Species: m.Species, Group: m.Group, Density: m.Density, Thickness: m.Thickness, LayAngles: m.LayAngles}}, s.Name, data)
	if err != nil {
		return err
	}
	return f.Keep(ctx, s, r, picture)
}
