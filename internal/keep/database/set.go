package database

import (
	"context"
	"strconv"
	"strings"
)

// Set runs one statement that reads no rows but those that it writes, found by their key,
// and that changes nothing more when it is done again: it goes without the transaction of
// ExecContext, which in PostgreSQL means to be asked once and not three times.
func (d *DB) Set(ctx context.Context, query string, args ...any) error {
	if tx := d.own(ctx); tx != nil {
		_, err := tx.ExecContext(ctx, query, args...)
		return err
	}
	return d.reading(ctx, func(ctx context.Context) error {
		_, err := d.write.ExecContext(ctx, query, args...)
		return err
	})
}

// SetOne is Set for a statement of one row that ends in RETURNING. sql.ErrNoRows says that
// it changed nothing, perhaps because it was done before.
func (d *DB) SetOne(ctx context.Context, into any, query string, args ...any) error {
	if tx := d.own(ctx); tx != nil {
		return tx.QueryRowContext(ctx, query, args...).Scan(into)
	}
	return d.reading(ctx, func(ctx context.Context) error { return d.write.QueryRowContext(ctx, query, args...).Scan(into) })
}

// Turning reports whether ctx is in turn, so that what is written may still be undone.
func (d *DB) Turning(ctx context.Context) bool { return d.own(ctx) != nil }

// Rows are so many rows of so many placeholders, for VALUES: ($1,$2),($3,$4).
func Rows(rows, columns int) string {
	var out strings.Builder
	for i := range rows * columns {
		switch {
		case i == 0:
			out.WriteString("(")
		case i%columns == 0:
			out.WriteString("),(")
		default:
			out.WriteString(",")
		}
		out.WriteString("$" + strconv.Itoa(i+1))
	}
	return out.String() + ")"
}

// AtOnce is how many rows are written by one statement at most: an engine takes no more
// than 32,766 placeholders.
const AtOnce = 500
