package enginetest

import (
	"testing"

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
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var c Column
		if err := rows.Scan(&c.Table, &c.Name); err != nil {
			t.Fatal(err)
		}
		out = append(out, c)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}
