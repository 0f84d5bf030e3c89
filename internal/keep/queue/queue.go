// Package queue hands out the trays that wait in a PostgreSQL record to whoever
// measures, on any number of machines. It is the one room that knows River, whose
// tables lie in a schema of their own beside those of the sites.
//
// A tray is put in by the transaction that enlists its photo, so there is never the
// one without the other. It is handed out again whenever its taker says so, or is
// gone: whoever takes must be able to do so twice.
package queue

import (
	"context"
	"database/sql"
	"log/slog"
	"math"
	"slices"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverdatabasesql"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"

	"netagauge/internal/keep/database"
)

// Schema is where River's tables lie.
const Schema = "river"

// Tray is one shot of a site that waits, as often as it was asked for: the same one is
// in the queue once.
type Tray struct {
	Site   string `json:"site"`
	Number int64  `json:"number"`
	Turn   int    `json:"turn"`
}

// Kind is the name of River's jobs that are trays.
func (Tray) Kind() string { return "tray" }

// Owners take turns by this: a tray that waits behind others of its owner queues as if
// it had come so much later for each of them. Everything lies so far in the past that
// nothing waits for its time to come.
const (
	step    = 10 * time.Minute
	longest = 100 // of steps
)

// Due is the place in the queue of a tray that waits behind so many of its owner.
func Due(now time.Time, behind int) time.Time {
	return now.Add(time.Duration(min(behind, longest)-longest) * step)
}

// Queue is open. Its methods may be called from several goroutines.
type Queue struct {
	putter *river.Client[*sql.Tx]
	pool   *pgxpool.Pool
	db     *sql.DB
	log    *slog.Logger
}

// Open opens the queue that lies at a server and brings its tables up to date.
func Open(ctx context.Context, at *database.Server, log *slog.Logger) (_ *Queue, err error) {
	q := &Queue{pool: at.Pool(), db: stdlib.OpenDBFromPool(at.Pool()), log: log}
	if err := q.migrate(ctx); err != nil {
		q.Close()
		return nil, database.Plain(err)
	}
	q.putter, err = river.NewClient(riverdatabasesql.New(q.db), &river.Config{Schema: Schema, Logger: log, Hooks: []rivertype.Hook{atOnce}})
	return q, err
}

// Close closes the queue, not the server; who works off it must have ended.
func (q *Queue) Close() error { return q.db.Close() }

// migrate lets one process at a time do so.
func (q *Queue) migrate(ctx context.Context) error {
	return q.alone(ctx, Schema, func() error {
		if _, err := q.db.ExecContext(ctx, `CREATE SCHEMA IF NOT EXISTS `+Schema); err != nil {
			return err
		}
		m, err := rivermigrate.New(riverdatabasesql.New(q.db), &rivermigrate.Config{Schema: Schema, Logger: q.log})
		if err != nil {
			return err
		}
		_, err = m.Migrate(ctx, rivermigrate.DirectionUp, nil)
		return err
	})
}

// alone does something while no other process does something by the same name.
func (q *Queue) alone(ctx context.Context, name string, do func() error) error {
	lock, err := q.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer lock.Close()
	if _, err := lock.ExecContext(ctx, `SELECT pg_advisory_lock(hashtextextended($1, 0))`, name); err != nil {
		return err
	}
	defer lock.ExecContext(context.WithoutCancel(ctx), `SELECT pg_advisory_unlock(hashtextextended($1, 0))`, name)
	return do()
}

// atOnce lets trays be taken at once: River takes a job that is given its time for one
// that waits for it.
var atOnce = river.HookInsertBeginFunc(func(_ context.Context, p *rivertype.JobInsertParams) error {
	p.State = rivertype.JobStateAvailable
	return nil
})

// Put puts a tray in, behind so many others of its owner, with whatever else tx does.
// One that is in it stays where it is.
func (q *Queue) Put(ctx context.Context, tx *sql.Tx, t Tray, behind int) error {
	_, err := q.putter.InsertTx(ctx, tx, t, options(time.Now(), behind))
	return err
}

// PutAll puts trays in, each as if its owner had no other. Those that are in it stay where
// they are.
func (q *Queue) PutAll(ctx context.Context, all []Tray) error {
	now, jobs := time.Now(), make([]river.InsertManyParams, len(all))
	for i, t := range all {
		jobs[i] = river.InsertManyParams{Args: t, InsertOpts: options(now, 0)}
	}
	put, err := q.putter.InsertMany(ctx, jobs)
	if err != nil || !slices.ContainsFunc(put, func(j *rivertype.JobInsertResult) bool { return !j.UniqueSkippedAsDuplicate }) {
		return err
	}
	_, err = q.db.ExecContext(ctx, `ANALYZE `+Schema+`.river_job`) // or a new table is taken for an empty one
	return err
}

// Waiting is what waits or is in hand at one site.
type Waiting struct {
	Site   string
	Trays  int
	Oldest time.Time // when that came
}

// Waiting tells what waits at each site where something does.
func (q *Queue) Waiting(ctx context.Context) (out []Waiting, err error) {
	out, err = database.Each(func(scan database.Row) (w Waiting, err error) {
		return w, scan(&w.Site, &w.Trays, &w.Oldest)
	})(q.db.QueryContext(ctx, `SELECT args->>'site', count(*), min(created_at) FROM `+Schema+`.river_job
		WHERE state IN ('available', 'pending', 'running', 'retryable', 'scheduled') GROUP BY 1 ORDER BY 1`))
	return out, database.Plain(err)
}

// options: a tray is never given up, whatever happens to those who take it.
func options(now time.Time, behind int) *river.InsertOpts {
	return &river.InsertOpts{
		MaxAttempts: math.MaxInt16,
		ScheduledAt: Due(now, behind),
		UniqueOpts: river.UniqueOpts{ByArgs: true, ByState: []rivertype.JobState{
			rivertype.JobStateAvailable, rivertype.JobStatePending, rivertype.JobStateRunning, rivertype.JobStateRetryable, rivertype.JobStateScheduled,
		}},
	}
}
