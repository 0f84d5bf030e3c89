package desk

import (
	"context"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/work/record"
)

// fromPhoto plans a photographed block, and keeps the photo with every cut on it
// for --picture.
func (p *planFlags) fromPhoto(ctx context.Context, house standard.Standard, group string, o plan.Options) (plan.Plan, error) {
	if err := command.OnDisk(p.photo); err != nil {
		return plan.Plan{}, err
	}
	read, err := command.ReadPhoto(p.photo)
	if err != nil {
		return plan.Plan{}, phrase.At(p.photo, err)
	}
	var second record.Photo
	if p.second != "" {
		if err := command.OnDisk(p.second); err != nil {
			return plan.Plan{}, err
		}
		if second, err = command.ReadPhoto(p.second); err != nil {
			return plan.Plan{}, phrase.At(p.second, err)
		}
	}
	m, end := command.Measurer(1)
	defer end()
	made, picture, err := m.Block(ctx, read, second, plan.Photographed{Heights: p.heights, Standard: house, Group: group, Options: o})
	p.drawn = picture
	return made, err
}
