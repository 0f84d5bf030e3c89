package main

import (
	"context"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/work/record"
)

// fromPhoto plans a photographed block, and keeps the photo with every cut on it
// for --picture.
func (p *planFlags) fromPhoto(ctx context.Context, house standard.Standard, group string, o plan.Options) (plan.Plan, error) {
	if err := onDisk(p.photo); err != nil {
		return plan.Plan{}, err
	}
	read, err := readPhoto(p.photo)
	if err != nil {
		return plan.Plan{}, phrase.At(p.photo, err)
	}
	var second record.Photo
	if p.second != "" {
		if err := onDisk(p.second); err != nil {
			return plan.Plan{}, err
		}
		if second, err = readPhoto(p.second); err != nil {
			return plan.Plan{}, phrase.At(p.second, err)
		}
	}
	m, end := measurer(1)
	defer end()
	made, picture, err := m.Block(ctx, read, second, plan.Photographed{Heights: p.heights, Standard: house, Group: group, Options: o})
	p.drawn = picture
	return made, err
}
