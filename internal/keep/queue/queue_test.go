package queue

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/postgrestest"
)

func TestMain(m *testing.M) { postgrestest.Main(m) }

func open(t *testing.T) *Queue {
	t.Helper()
	server, err := database.Connect(t.Context(), postgrestest.Start(t).URL())
	fatal.If(t, err)
	t.Cleanup(server.Close)
	q, err := Open(t.Context(), server, slog.New(slog.DiscardHandler))
	fatal.If(t, err)
	t.Cleanup(func() { q.Close() })
	if _, err := q.db.ExecContext(t.Context(), `TRUNCATE river.river_job`); err != nil { // other tests' are on the same server
		t.Fatal(err)
	}
	return q
}

// put puts a tray in, and keeps or drops the transaction.
func (q *Queue) put(t *testing.T, tray Tray, behind int, keep bool) {
	t.Helper()
	tx, err := q.db.BeginTx(t.Context(), &sql.TxOptions{Isolation: sql.LevelSerializable})
	fatal.If(t, err)
	fatal.If(t, q.Put(t.Context(), tx, tray, behind))
	end := tx.Rollback
	if keep {
		end = tx.Commit
	}
	fatal.If(t, end())
}

// work works until so many trays were handed out, and a little longer, and returns them.
func (q *Queue) work(t *testing.T, crew Crew, n int, do func(Tray) error) []Tray {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Minute)
	defer stop()
	var mu sync.Mutex
	var out []Tray
	err := q.Work(ctx, crew, func(_ context.Context, tray Tray) error {
		mu.Lock()
		defer mu.Unlock()
		if out = append(out, tray); len(out) == n {
			time.AfterFunc(200*time.Millisecond, stop)
		}
		if do == nil {
			return nil
		}
		return do(tray)
	})
	fatal.If(t, err)
	return out
}

var one = Crew{Hands: 1, Longest: 5 * time.Second, Leave: time.Second}

// A tray whose transaction was given up is not in the queue; one put in twice is in it
// once, but for another turn.
func TestInOnceWithItsTransaction(t *testing.T) {
	q := open(t)
	q.put(t, Tray{"a", 1, 0}, 0, false)
	for range 2 {
		q.put(t, Tray{"a", 2, 0}, 0, true)
		q.put(t, Tray{"b", 2, 0}, 0, true)
		q.put(t, Tray{"a", 2, 1}, 0, true)
	}
	fatal.If(t, q.PutAll(t.Context(), []Tray{{"a", 2, 0}, {"a", 3, 0}}))
	want := []Tray{{"a", 2, 0}, {"b", 2, 0}, {"a", 2, 1}, {"a", 3, 0}}
	if got := q.work(t, one, len(want), nil); !slices.Equal(got, want) {
		t.Errorf("handed out %v, want %v", got, want)
	}
}

// A tray may be taken as soon as its transaction is kept, and need not be moved along
// first, which River does every few seconds; put in by itself or with others.
func TestIsThereAtOnce(t *testing.T) {
	q := open(t)
	q.put(t, Tray{"a", 1, 0}, 0, true)
	q.put(t, Tray{"a", 2, 0}, 3, true)
	fatal.If(t, q.PutAll(t.Context(), []Tray{{"a", 3, 0}, {"b", 4, 0}}))
	states, err := database.All[string](q.db.QueryContext(t.Context(), `SELECT state FROM river.river_job`))
	if err != nil || len(states) != 4 || slices.ContainsFunc(states, func(s string) bool { return s != "available" }) {
		t.Errorf("they are %v, %v", states, err)
	}
}

// One phone that sent thirty holds up nobody: whoever comes later is served before its
// second, and its own come in their order.
func TestOwnersTakeTurns(t *testing.T) {
	q := open(t)
	for i := range 30 {
		q.put(t, Tray{"many", int64(i), 0}, i, true)
	}
	q.put(t, Tray{"few", 1, 0}, 0, true)
	q.put(t, Tray{"few", 2, 0}, 1, true)
	got := q.work(t, one, 32, nil)
	want := []Tray{{"many", 0, 0}, {"few", 1, 0}, {"many", 1, 0}, {"few", 2, 0}, {"many", 2, 0}}
	if len(got) != 32 || !slices.Equal(got[:5], want) {
		t.Fatalf("handed out %v", got)
	}
	if !slices.IsSortedFunc(got[5:], func(a, b Tray) int { return int(a.Number - b.Number) }) {
		t.Errorf("one phone's trays in the order %v", got)
	}
}

// A tray that could not be done waits again, as often as it takes; one that was in hand
// when its process was told to stop does, too, and at once.
func TestNoneIsGivenUp(t *testing.T) {
	q := open(t)
	q.put(t, Tray{"a", 1, 0}, 0, true)
	tries := 0
	if got := q.work(t, one, 5, func(Tray) error {
		if tries++; tries < 5 {
			return errors.New("no photo yet")
		}
		return nil
	}); len(got) != 5 {
		t.Errorf("handed out %d times", len(got))
	}
	q.put(t, Tray{"a", 2, 0}, 0, true)
	ctx, stop := context.WithCancel(t.Context())
	began := time.Now()
	if err := q.Work(ctx, Crew{Hands: 1, Longest: time.Minute, Leave: 100 * time.Millisecond}, func(ctx context.Context, _ Tray) error {
		stop()
		<-ctx.Done()
		return fmt.Errorf("stopped: %w", ctx.Err())
	}); err != nil || time.Since(began) > 45*time.Second {
		t.Errorf("%v after %v", err, time.Since(began))
	}
	if got := q.work(t, one, 1, nil); len(got) != 1 || got[0].Number != 2 {
		t.Errorf("handed out %v", got)
	}
}

func TestDue(t *testing.T) {
	now := time.Now()
	for behind := range 200 {
		if d := Due(now, behind); d.After(now) || behind > 0 && d.Before(Due(now, behind-1)) {
			t.Errorf("behind %d: %v", behind, d)
		}
	}
}

// What waits is told by site, in hand or not, with when its oldest came.
func TestWaiting(t *testing.T) {
	q, began := open(t), time.Now().Add(-time.Second)
	if all, err := q.Waiting(t.Context()); err != nil || len(all) != 0 {
		t.Errorf("of an empty queue: %v, %v", all, err)
	}
	for i, site := range []string{"south", "north", "south"} {
		q.put(t, Tray{Site: site, Number: int64(i)}, 0, true)
	}
	if _, err := q.db.ExecContext(t.Context(), `UPDATE river.river_job SET state = 'running' WHERE args->>'site' = 'north'`); err != nil {
		t.Fatal(err)
	}
	all, err := q.Waiting(t.Context())
	if err != nil || len(all) != 2 || all[0].Site != "north" || all[0].Trays != 1 || all[1].Trays != 2 {
		t.Errorf("%v, %v", all, err)
	}
	for _, w := range all {
		if w.Oldest.Before(began) || w.Oldest.After(time.Now().Add(time.Second)) {
			t.Errorf("the oldest of %s came at %v", w.Site, w.Oldest)
		}
	}
}
