package intake

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Outcome is a result that is in the book. Of one that was refused the code says
// why, its report says more.
type Outcome struct {
	Result  int64
	Refused bool
	Code    string
}

// settling are shots that wait to be settled: whoever has the turn settles all of them at
// once, so that many hands do not wait for each other's transactions.
type settling struct {
	turn    sync.Mutex
	mu      sync.Mutex
	waiting []*ending
}

// ending is a shot as it is to be settled, and what came of that once it was.
type ending struct {
	shot Shot
	done bool
	err  error
}

// mostAtOnce is how many are settled at once: a transaction should not be long.
const mostAtOnce = 100

// Settle enters a photo with its result in its class or line, and says that the
// shot is done. Doing it again, in whole or in part, changes nothing.
func (f *Folder) Settle(ctx context.Context, s Shot, o Outcome) error {
	s.Result, s.State, s.Code, s.Why = o.Result, Measured, "", nil
	if o.Refused {
		s.State, s.Code = Refused, cmp.Or(o.Code, "refused")
	}
	mine := &ending{shot: s}
	w := &f.settling
	w.mu.Lock()
	w.waiting = append(w.waiting, mine)
	w.mu.Unlock()
	w.turn.Lock()
	defer w.turn.Unlock()
	for !mine.done {
		w.mu.Lock()
		n := min(len(w.waiting), mostAtOnce)
		some := slices.Clone(w.waiting[:n])
		w.waiting = slices.Delete(w.waiting, 0, n)
		w.mu.Unlock()
		f.settleAll(ctx, some)
	}
	return mine.err
}

// settleAll settles shots together, or each for itself where that fails: what is wrong
// with one must not hold up the others.
func (f *Folder) settleAll(ctx context.Context, all []*ending) {
	shots := make([]Shot, len(all))
	for i, e := range all {
		shots[i] = e.shot
	}
	err := f.settle(ctx, shots)
	if err != nil && len(all) > 1 {
		for _, e := range all {
			e.done, e.err = true, f.settle(ctx, []Shot{e.shot})
		}
		return
	}
	for _, e := range all {
		e.done, e.err = true, err
	}
}

func (f *Folder) settle(ctx context.Context, shots []Shot) error {
	err := f.alone(ctx, func(ctx context.Context) error {
		there, err := f.book.Labels(ctx, results(shots))
		if err != nil {
			return err
		}
		classes, ended := map[string][]Shot{}, slices.Clone(shots)
		for i, s := range ended {
			if _, kept := there[s.Result]; !kept { // it was another's, too, who was forgotten meanwhile
				ended[i].State = Waiting
			} else if s.Kind == Class {
				classes[s.Session] = append(classes[s.Session], s)
			} else if err := f.enter(ctx, s); err != nil {
				return err
			}
		}
		for _, class := range classes {
			if err := f.enterCopies(ctx, class); err != nil {
				return err
			}
		}
		return f.endedAll(ctx, ended)
	})
	if err == nil {
		f.tell()
	}
	return err
}

func results(shots []Shot) []int64 {
	out := make([]int64, len(shots))
	for i, s := range shots {
		out[i] = s.Result
	}
	return out
}

// endedAll is ended for many.
func (f *Folder) endedAll(ctx context.Context, shots []Shot) error {
	if len(shots) == 1 {
		return f.ended(ctx, shots[0])
	}
	var rows []string
	var values []any
	for i, s := range shots {
		rows = append(rows, fmt.Sprintf(endedRow, 6*i+1, 6*i+2, 6*i+3, 6*i+4, 6*i+5, 6*i+6))
		values = append(values, s.State, s.Code, s.Why.Kept(), s.Result, s.Number, s.Turn)
	}
	err := f.db.Set(ctx, `WITH ended (state, code, why, result, number, turn) AS (VALUES `+strings.Join(rows, ", ")+`)
		UPDATE shot SET state = ended.state, code = ended.code, why = ended.why, result = ended.result
		FROM ended WHERE shot.number = ended.number AND shot.turn = ended.turn`, values...)
	return f.fail("keep how photos ended", err)
}

// endedRow is how one ended; PostgreSQL takes what has no type for a text.
const endedRow = `($%d, $%d, $%d, CAST($%d AS BIGINT), CAST($%d AS BIGINT), CAST($%d AS BIGINT))`
