package worker

import (
	"context"
	"time"

	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/queue"
)

// Shared is a kitchen whose shots many processes measure: they come by a queue, which
// may hand one out more than once.
type Shared interface {
	Kitchen
	// Take says that a shot is being measured, unless it is done or was asked for anew:
	// found is false then, and there is nothing to do.
	Take(ctx context.Context, number int64, turn int) (s intake.Shot, found bool, err error)
}

// Share is Run for a queue that many processes work off, of the kitchens of many sites.
// When ctx is done, photos in hand have leave to be measured and then wait for another
// process.
func Share(ctx context.Context, q *queue.Queue, kitchen func(ctx context.Context, site string) (Shared, error), h Hands, leave time.Duration, complain func(error)) error {
	crew := queue.Crew{Hands: h.Workers() + 1, Longest: h.Longest(), Leave: leave} // one takes its next while all measure
	turn := make(chan struct{}, h.Workers())
	return q.Work(ctx, crew, func(ctx context.Context, t queue.Tray) error {
		r := newRunner(ctx, nil, h, complain)
		r.turn = turn
		var s intake.Shot
		found := false
		err := r.insist(ctx, func() error {
			k, err := kitchen(ctx, t.Site)
			if err != nil {
				return err
			}
			r.kitchen, r.site = k, t.Site
			s, found, err = k.Take(ctx, t.Number, t.Turn)
			return err
		})
		if err != nil || !found {
			return err
		}
		return r.one(ctx, s)
	})
}

// Longest is how long a photo may be in hand: two workers are started for it, which both
// take all of their time, and what came of it is kept.
func (p *Pool) Longest() time.Duration { return 2*(startWall+p.options.Wall) + keeping }

// keeping is how long fetching a photo and keeping its result may take.
const keeping = time.Minute

// Ended tells how a photo did.
func (p *Pool) Ended(site, code string, took time.Duration) {
	if p.options.Ended != nil {
		p.options.Ended(site, code, took)
	}
}
