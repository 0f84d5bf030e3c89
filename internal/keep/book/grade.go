package book

import (
	"context"
	"database/sql"
	"errors"
	"netagauge/internal/keep/database"
	"time"
)

// Graded is a grade in percent that somebody had in a session.
type Graded struct {
	Session string
	HeldOn  time.Time
	Trainee string
	Percent float64
}

// latestBefore are the latest finished runs of the sessions before one, which is
// given by its day and its name.
const latestBefore = `SELECT max(r.id) AS id, s.id AS session, s.name, s.held_on FROM run r JOIN session s ON s.id = r.session_id
	WHERE r.finished_at IS NOT NULL AND (s.held_on, s.name) < ($1, $2) GROUP BY s.id`

// Ungraded returns the runs before a session that History would give and whose
// grades are not kept, or rest on what has changed since.
func (b *Book) Ungraded(ctx context.Context, before Run) ([]Run, error) {
	return b.finished(ctx, `WITH latest AS (`+latestBefore+`)
		SELECT latest.id, latest.session, latest.name, latest.held_on, run.changes FROM latest JOIN run ON run.id = latest.id
		WHERE run.graded_at IS DISTINCT FROM run.changes ORDER BY latest.held_on, latest.session`, before.HeldOn.Format(time.DateOnly), before.Name)
}

// finished reads finished runs: ID, session, its name and day, changes.
func (b *Book) finished(ctx context.Context, query string, a ...any) ([]Run, error) {
	out, err := database.Each(func(scan database.Row) (r Run, err error) {
		r = Run{Finished: true}
		var day string
		if err := scan(&r.ID, &r.Session, &r.Name, &day, &r.changes); err != nil {
			return r, err
		}
		r.HeldOn, err = time.Parse(time.DateOnly, day)
		return r, err
	})(b.db.QueryContext(ctx, query, a...))
	return out, b.fail("read the sessions", err)
}

// KeepGrades keeps what a run of Ungraded came to, by trainee, in percent. What has
// changed since then leaves it ungraded.
func (b *Book) KeepGrades(ctx context.Context, run Run, percent map[string]float64) error {
	err := b.db.In(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `UPDATE run SET graded_at = changes WHERE id = $1 AND changes = $2`, run.ID, run.changes)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM grade WHERE run_id = $1`, run.ID); err != nil {
			return err
		}
		for name, p := range percent {
			if _, err := tx.ExecContext(ctx, `INSERT INTO grade (run_id, trainee_id, percent) SELECT $1, id, $2 FROM trainee WHERE name = $3`, run.ID, p, name); err != nil {
				return err
			}
		}
		return nil
	})
	return b.fail("keep the grades of a session", err)
}

// Grades returns the grades kept of the sessions before one, oldest first; of one
// trainee, or of all when no name is given.
func (b *Book) Grades(ctx context.Context, before Run, trainee string) ([]Graded, error) {
	query, args := `SELECT latest.name, latest.held_on, t.name, g.percent FROM latest JOIN grade g ON g.run_id = latest.id JOIN trainee t ON t.id = g.trainee_id`,
		[]any{before.HeldOn.Format(time.DateOnly), before.Name}
	if trainee != "" {
		query, args = query+` WHERE t.name = $3`, append(args, trainee)
	}
	out, err := database.Each(func(scan database.Row) (g Graded, err error) {
		var day string
		if err := scan(&g.Session, &day, &g.Trainee, &g.Percent); err != nil {
			return g, err
		}
		g.HeldOn, err = time.Parse(time.DateOnly, day)
		return g, err
	})(b.db.QueryContext(ctx, `WITH latest AS (`+latestBefore+`) `+query+` ORDER BY latest.held_on, latest.session, t.name`, args...))
	return out, b.fail("read the grades", err)
}

// ClassGrades sums up the grades of a class.
type ClassGrades struct {
	Class    string
	Trainees int
	Percent  float64 // their mean
}

// LastGrades are those of the latest class whose grades are kept; nil where there is
// none yet.
func (b *Book) LastGrades(ctx context.Context) (*ClassGrades, error) {
	var g ClassGrades
	err := b.db.QueryRowContext(ctx, `SELECT s.name, count(*), avg(g.percent) FROM grade g JOIN run r ON r.id = g.run_id JOIN session s ON s.id = r.session_id
		WHERE r.id = (SELECT r.id FROM run r JOIN session s ON s.id = r.session_id WHERE r.graded_at IS NOT NULL AND EXISTS (SELECT 1 FROM grade WHERE grade.run_id = r.id)
			ORDER BY s.held_on DESC, r.id DESC LIMIT 1) GROUP BY s.name`).Scan(&g.Class, &g.Trainees, &g.Percent)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return &g, b.fail("read the grades", err)
}
