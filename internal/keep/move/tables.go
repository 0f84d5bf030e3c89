package move

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"math"
	"slices"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// table is one that both sides have, by the names of its columns.
type table struct {
	name    string
	columns []string
	key     []string // of these, in order
	counts  string   // the column that numbers its rows by itself, or none
}

// tablesOf are those of a SQLite file, each behind what it refers to.
func tablesOf(ctx context.Context, lite querier) ([]table, error) {
	names, err := texts(ctx, lite, `SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version' ORDER BY name`)
	if err != nil {
		return nil, err
	}
	var out []table
	for len(names) > 0 {
		before := len(names)
		for _, name := range slices.Clone(names) {
			needs, err := texts(ctx, lite, `SELECT "table" FROM pragma_foreign_key_list($1) WHERE "table" <> $1`, name)
			if err != nil {
				return nil, err
			}
			if slices.ContainsFunc(needs, func(n string) bool { return slices.Contains(names, n) }) {
				continue
			}
			t := table{name: name}
			if err := t.read(ctx, lite); err != nil {
				return nil, err
			}
			out = append(out, t)
			names = slices.DeleteFunc(names, func(n string) bool { return n == name })
		}
		if len(names) == before {
			return nil, fmt.Errorf("%v: %w", names, errors.ErrUnsupported) // they refer to each other
		}
	}
	return out, nil
}

func (t *table) read(ctx context.Context, lite querier) (err error) {
	if t.columns, err = texts(ctx, lite, `SELECT name FROM pragma_table_info($1) ORDER BY name`, t.name); err != nil {
		return err
	}
	if t.key, err = texts(ctx, lite, `SELECT name FROM pragma_table_info($1) WHERE pk > 0 ORDER BY pk`, t.name); err != nil {
		return err
	}
	whole, err := texts(ctx, lite, `SELECT name FROM pragma_table_info($1) WHERE pk > 0 AND type = 'INTEGER'`, t.name)
	if err == nil && len(t.key) == 1 && len(whole) == 1 {
		t.counts = whole[0]
	}
	return err
}

func texts(ctx context.Context, db querier, query string, args ...any) ([]string, error) {
	return database.All[string](db.QueryContext(ctx, query, args...))
}

func quoted(names []string) string { return `"` + strings.Join(names, `", "`) + `"` }

func marks(n int) string {
	all := make([]string, n)
	for i := range all {
		all[i] = fmt.Sprintf("$%d", i+1)
	}
	return strings.Join(all, ", ")
}

// descending orders by the whole key, the last first.
func descending(key []string) string { return `"` + strings.Join(key, `" DESC, "`) + `" DESC` }

// chunk is how much is kept in one transaction.
const (
	chunkRows  = 500
	chunkBytes = 8 << 20
)

// copy goes on behind the last row that the other side has: rows go over in the order of
// their key, and each transaction leaves none out.
func (t table) copy(ctx context.Context, from querier, to *sql.DB, done func(rows int)) error {
	where, last, err := t.behind(ctx, to)
	if err != nil {
		return err
	}
	rows, err := from.QueryContext(ctx, `SELECT `+quoted(t.columns)+` FROM "`+t.name+`" `+where+` ORDER BY `+quoted(t.key), last...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for {
		n, err := t.chunk(ctx, rows, to)
		if n == 0 || err != nil {
			return errors.Join(err, rows.Err())
		}
		done(n)
	}
}

// behind is the condition for the rows that the other side lacks.
func (t table) behind(ctx context.Context, to *sql.DB) (where string, last []any, err error) {
	last = make([]any, len(t.key))
	err = to.QueryRowContext(ctx, `SELECT `+quoted(t.key)+` FROM "`+t.name+`" ORDER BY `+descending(t.key)+` LIMIT 1`).Scan(pointers(last)...)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil, nil
	}
	return `WHERE (` + quoted(t.key) + `) > (` + marks(len(t.key)) + `)`, last, err
}

func pointers(values []any) []any {
	out := make([]any, len(values))
	for i := range values {
		out[i] = &values[i]
	}
	return out
}

// chunk keeps as many of the rows as fit into one transaction, none at their end.
func (t table) chunk(ctx context.Context, rows *sql.Rows, to *sql.DB) (n int, err error) {
	tx, err := to.BeginTx(ctx, nil)
	if err != nil {
		return 0, err
	}
	defer tx.Rollback() // does nothing once committed
	var some []any
	for bytes := 0; n < chunkRows && bytes < chunkBytes && rows.Next(); n++ {
		values := make([]any, len(t.columns))
		if err := rows.Scan(pointers(values)...); err != nil {
			return n, err
		}
		some = append(some, values...)
		for _, v := range values {
			bytes += size(v)
		}
		if len(some) >= putAtOnce*len(t.columns) {
			if err := t.put(ctx, tx, some); err != nil {
				return n, err
			}
			some = some[:0]
		}
	}
	if err := t.put(ctx, tx, some); err != nil {
		return n, err
	}
	return n, tx.Commit()
}

// putAtOnce is how many rows go over in one statement.
const putAtOnce = 50

func (t table) put(ctx context.Context, tx *sql.Tx, values []any) error {
	if len(values) == 0 {
		return nil
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO "`+t.name+`" (`+quoted(t.columns)+`) VALUES `+database.Rows(len(values)/len(t.columns), len(t.columns)), values...)
	return err
}

func size(v any) int {
	switch v := v.(type) {
	case string:
		return len(v)
	case []byte:
		return len(v)
	}
	return 8
}

// querier is a connection or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// sum is the SHA-256 of all rows in the order of their key, the same for every engine.
func (t table) sum(ctx context.Context, db querier) (string, error) {
	rows, err := db.QueryContext(ctx, `SELECT `+quoted(t.columns)+` FROM "`+t.name+`" ORDER BY `+quoted(t.key))
	if err != nil {
		return "", err
	}
	defer rows.Close()
	h := sha256.New()
	values := make([]any, len(t.columns))
	for rows.Next() {
		if err := rows.Scan(pointers(values)...); err != nil {
			return "", err
		}
		for _, v := range values {
			if err := add(h, v); err != nil {
				return "", err
			}
		}
	}
	return hex.EncodeToString(h.Sum(nil)), rows.Err()
}

// add hashes a value with its kind and its length.
func add(h hash.Hash, v any) error {
	kind, data := byte(0), []byte(nil)
	switch v := v.(type) {
	case nil:
	case int64:
		kind, data = 1, binary.BigEndian.AppendUint64(nil, uint64(v))
	case float64:
		kind, data = 2, binary.BigEndian.AppendUint64(nil, math.Float64bits(v))
	case string:
		kind, data = 3, []byte(database.Text(v))
	case []byte:
		kind, data = 4, v
	default:
		return fmt.Errorf("%T: %w", v, errors.ErrUnsupported)
	}
	h.Write(binary.BigEndian.AppendUint64([]byte{kind}, uint64(len(data))))
	h.Write(data)
	return nil
}

// same reports as an error that a table of one side is not that of the other.
func (t table) same(ctx context.Context, from, to querier) error {
	a, err := t.sum(ctx, from)
	if err != nil {
		return err
	}
	b, err := t.sum(ctx, to)
	if err == nil && a != b {
		err = phrase.Wrong("move-differs", t.name)
	}
	return err
}
