package intake

import (
	"context"

	"netagauge/internal/keep/queue"
)

// asked is how many shots Resume looks at: one that is not in the queue becomes one of
// those that wait longest.
const asked = 1000

// Resume puts the shots that have waited longest into the queue, unless they are in it: one
// may have been left out whose result was forgotten while it was settled.
func (f *Folder) Resume(ctx context.Context) error {
	waiting, err := f.shots(ctx, f.db, `WHERE state IN ('waiting', 'measuring') ORDER BY number LIMIT $1`, asked)
	if err != nil || len(waiting) == 0 {
		return err
	}
	trays := make([]queue.Tray, len(waiting))
	for i, s := range waiting {
		trays[i] = queue.Tray{Site: f.peers.Site, Number: s.Number, Turn: s.Turn}
	}
	return f.fail("let photos wait", f.peers.Queue.PutAll(ctx, trays))
}
