package enginetest

import (
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/database"
)

// Column is one of a table's.
type Column struct{ Table, Name string }

// Columns are all of a record on a file, but those that count its migrations; the test
// is left out on a server, whose columns are the same.
func Columns(t testing.TB, db *database.DB) (out []Column) {
	t.Helper()
	FileOnly(t, "it asks SQLite for its columns, and the others' are the same")
	rows, err := db.QueryContext(t.Context(), `SELECT m.name, c.name FROM sqlite_master m JOIN pragma_table_info(m.name) c WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%' AND m.name NOT LIKE 'goose_%'`)
	fatal.If(t, err)
	defer rows.Close()
	for rows.Next() {
		var c Column
		fatal.If(t, rows.Scan(&c.Table, &c.Name))
		out = append(out, c)
	}
	fatal.If(t, rows.Err())
	return out
}
