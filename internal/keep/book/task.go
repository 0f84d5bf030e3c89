package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"netagauge/internal/judge/task"
	"netagauge/internal/keep/database"
)

// SetTask keeps a task, in place of one of the same name.
func (b *Book) SetTask(ctx context.Context, t task.Task) error {
	if err := t.Check(); err != nil {
		return err
	}
	text, err := json.Marshal(t)
	if err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	_, err = b.db.ExecContext(ctx, `INSERT INTO task (name, task, made_at) VALUES ($1, $2, $3)
		ON CONFLICT (name) DO UPDATE SET task = excluded.task, made_at = excluded.made_at`, t.Name, string(text), now())
	return b.fail("keep the task", err)
}

// DropTask takes a task from the list. Classes that had it keep it.
func (b *Book) DropTask(ctx context.Context, name string) error {
	_, err := b.db.ExecContext(ctx, `DELETE FROM task WHERE name = $1`, name)
	return b.fail("drop the task", err)
}

// Tasks are all, the newest first.
func (b *Book) Tasks(ctx context.Context) ([]task.Task, error) {
	out, err := database.Each(func(scan database.Row) (t task.Task, err error) {
		var text string
		err = scan(&text)
		if err == nil {
			err = json.Unmarshal([]byte(text), &t)
		}
		return t, err
	})(b.db.QueryContext(ctx, `SELECT task FROM task ORDER BY made_at DESC, name`))
	return out, b.fail("read the tasks", err)
}

// Assignment is what a class was given.
type Assignment struct {
	Task      *task.Task // nil where it has none
	Reference string     // ID of the reference tray's shot, empty for none
}

// Assignment is a class's; the zero one where it was given nothing.
func (b *Book) Assignment(ctx context.Context, class string) (a Assignment, err error) {
	var text sql.NullString
	err = b.db.QueryRowContext(ctx, `SELECT task, reference FROM assignment WHERE class = $1`, class).Scan(&text, &a.Reference)
	if errors.Is(err, sql.ErrNoRows) {
		return Assignment{}, nil
	}
	if err == nil && text.Valid {
		err = json.Unmarshal([]byte(text.String), &a.Task)
	}
	return a, b.fail("read what a class was given", err)
}

// Assign gives a class a task, as it is now.
func (b *Book) Assign(ctx context.Context, class string, t task.Task) error {
	text, err := json.Marshal(t)
	if err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	_, err = b.db.ExecContext(ctx, `INSERT INTO assignment (class, task) VALUES ($1, $2) ON CONFLICT (class) DO UPDATE SET task = excluded.task`, class, string(text))
	return b.fail("give a class its task", err)
}

// SetReference makes a tray the reference of a class, by the ID of its shot; of none
// with an empty one.
func (b *Book) SetReference(ctx context.Context, class, shot string) error {
	_, err := b.db.ExecContext(ctx, `INSERT INTO assignment (class, reference) VALUES ($1, $2) ON CONFLICT (class) DO UPDATE SET reference = excluded.reference`, class, shot)
	return b.fail("keep the reference tray", err)
}
