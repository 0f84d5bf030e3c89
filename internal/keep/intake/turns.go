package intake

import (
	"context"
	"database/sql"
	"sync"
)

// turns lets owners take turns: whose photo is measured next is who has waited
// longest since the last one, so that one phone that sends many holds up nobody.
type turns struct {
	mu     sync.Mutex
	served map[string]int // when an owner's last photo was taken, by a count of all
	count  int
}

// keptTurns is how many owners are remembered; forgetting lets all begin anew.
const keptTurns = 1000

// next is the shot that is measured next, ErrUnknown when none waits.
func (f *Folder) next(ctx context.Context, tx *sql.Tx) (Shot, error) {
	rows, err := tx.QueryContext(ctx, `SELECT owner, min(number) FROM shot WHERE state = 'waiting'
		AND owner NOT IN (SELECT 'trainee/' || name FROM removal WHERE state = 'going') GROUP BY owner ORDER BY min(number)`)
	if err != nil {
		return Shot{}, err
	}
	defer rows.Close()
	f.turns.mu.Lock()
	defer f.turns.mu.Unlock()
	var number, last int64
	for rows.Next() {
		var owner string
		var first int64
		if err := rows.Scan(&owner, &first); err != nil {
			return Shot{}, err
		}
		if served := int64(f.turns.served[owner]); number == 0 || served < last {
			number, last = first, served
		}
	}
	if err := rows.Err(); err != nil {
		return Shot{}, err
	}
	return f.one(ctx, tx, `WHERE number = $1`, number)
}

// took notes that an owner had a turn.
func (t *turns) took(owner string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.served == nil || len(t.served) >= keptTurns {
		t.served = map[string]int{}
	}
	t.count++
	t.served[owner] = t.count
}
