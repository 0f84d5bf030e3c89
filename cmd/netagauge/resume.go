package main

import (
	"context"
	"math/rand/v2"
	"time"

	"netagauge/internal/keep/organisation"
)

// resuming is how often it is looked for trays that wait and are not in the queue.
const resuming = 5 * time.Minute

// resume puts them in, now and then.
func (s *shared) resume(ctx context.Context, complain func(error)) {
	for ctx.Err() == nil {
		if err := s.resumeAll(ctx); err != nil && ctx.Err() == nil {
			complain(err)
		}
		select {
		case <-ctx.Done():
		case <-time.After(resuming/2 + rand.N(resuming)):
		}
	}
}

func (s *shared) resumeAll(ctx context.Context) error {
	kept, err := organisation.Open(ctx, s.server.Schema(organisationSchema))
	if err != nil {
		return err
	}
	defer kept.Close()
	sites, err := kept.Sites(ctx)
	if err != nil {
		return err
	}
	names := []string{kitchenAlone}
	for _, at := range sites {
		if !at.Original {
			names = append(names, at.Name)
		}
	}
	for _, name := range names {
		f, err := s.folder(ctx, name)
		if err == nil {
			err = f.Resume(ctx)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
