package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/table"
)

type exported struct{ name, order string }

// tables lists what a full export holds, in which order its rows come.
var tables = []exported{
	{"ticket", "first_used, hash"}, {"result", "id"}, {"piece", ""}, {"session", "id"}, {"run", "id"}, {"trainee", "id"}, {"entry", "id"},
	{"pace", "id"}, {"grade", "run_id, trainee_id"}, {"override", "id"}, {"spot_check", "id"}, {"remark", "id"}, {"repeat_check", "id"}, {"tally", "kind, name, photo"},
	{"guess", "id"}, {"cut_order", "id"}, {"exam", "id"}, {"exam_act", "exam_id, place"}, {"exam_name", "exam_id, number"},
	{"task", "made_at, name"}, {"assignment", "class"}, {"block", "id"}, {"handover", "id"},
}

// partly says which rows of a table are given away: nobody is to know whose number is
// whose while trays are judged.
var partly = map[string]string{"exam_name": ` WHERE exam_id IN (SELECT id FROM exam WHERE closed_at IS NOT NULL)`}

// ExportJSON writes the whole book as one JSON object: each table's name with
// the list of its rows. Texts are exact; pictures are base64. It holds one row.
func (b *Book) ExportJSON(ctx context.Context, w io.Writer) error {
	return b.db.Snapshot(ctx, func(tx *sql.Tx) error { return b.exportJSON(ctx, tx, w) })
}

func (b *Book) exportJSON(ctx context.Context, tx *sql.Tx, w io.Writer) error {
	for i, table := range tables {
		open := ",\n"
		if i == 0 {
			open = "{\n"
		}
		if _, err := fmt.Fprintf(w, "%s%q: [", open, table.name); err != nil {
			return err
		}
		first := true
		err := b.rows(ctx, tx, table, func(columns []string, values []any) error {
			row := make(map[string]any, len(columns))
			for i, c := range columns {
				row[c] = values[i]
			}
			text, err := json.Marshal(row)
			if err != nil {
				return err
			}
			sep := ",\n"
			if first {
				sep, first = "\n", false
			}
			_, err = w.Write(append([]byte(sep), text...))
			return err
		})
		if err != nil {
			return err
		}
		if _, err := io.WriteString(w, "]"); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, "\n}\n")
	return err
}

// ExportCSV writes every table to a CSV file of its name in an existing folder,
// and the pictures to a folder beside them. Texts that a spreadsheet would take
// for a formula get a leading apostrophe; ExportJSON has them exactly.
func (b *Book) ExportCSV(ctx context.Context, dir string) error {
	if err := os.MkdirAll(filepath.Join(dir, "pictures"), 0o755); err != nil {
		return err
	}
	return b.db.Snapshot(ctx, func(tx *sql.Tx) error {
		for _, table := range tables {
			err := atomicfile.WriteTo(filepath.Join(dir, table.name+".csv"), func(w io.Writer) error {
				return b.tableCSV(ctx, tx, w, table, dir)
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
}

func (b *Book) tableCSV(ctx context.Context, tx *sql.Tx, w io.Writer, of exported, dir string) error {
	out := table.NewCSV(w)
	headed := false
	err := b.rows(ctx, tx, of, func(columns []string, values []any) error {
		if !headed {
			out.Head(columns)
			headed = true
		}
		for column, file := range map[string]string{"picture": "pictures/result-%d.jpg", "view": "pictures/view-%d.jpg"} {
			i := slices.Index(columns, column)
			if i < 0 || values[i] == nil {
				continue
			}
			file = fmt.Sprintf(file, values[slices.Index(columns, "id")])
			if err := atomicfile.Write(filepath.Join(dir, filepath.FromSlash(file)), values[i].([]byte)); err != nil {
				return err
			}
			values[i] = file
		}
		out.Row(values)
		return nil
	})
	if err != nil {
		return err
	}
	return out.Close()
}

// rows calls f with each row of a table; only the table names above come here.
// An empty table calls it never.
func (b *Book) rows(ctx context.Context, tx *sql.Tx, of exported, f func(columns []string, values []any) error) error {
	if of.name == "piece" {
		return b.pieceRows(ctx, tx, f)
	}
	rows, err := tx.QueryContext(ctx, `SELECT * FROM `+of.name+partly[of.name]+` ORDER BY `+of.order) // all of it, by the columns' names
	if err != nil {
		return b.fail("export "+of.name, err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return b.fail("export "+of.name, err)
	}
	for rows.Next() {
		values, err := scan(rows, len(columns))
		if err != nil {
			return b.fail("export "+of.name, err)
		}
		if i := slices.Index(columns, "note"); i >= 0 {
			values[i] = phrase.English().Must(phrase.ReadKept(fmt.Sprint(values[i])))
		}
		if err := f(columns, values); err != nil {
			return err
		}
	}
	return b.fail("export "+of.name, rows.Err())
}

// pieceRows calls f with each piece of each result: where it lies, its verdict, its
// measures and its faults, of which a doubtful one ends in ?.
func (b *Book) pieceRows(ctx context.Context, tx *sql.Tx, f func(columns []string, values []any) error) error {
	columns := slices.Concat([]string{"result_id", "number", "state", "x_mm", "y_mm", "verdict"}, piece.Columns(), []string{"faults"})
	return b.eachReport(ctx, tx, `id > $1`, 0, func(id int64, r piece.Tray) error {
		for _, p := range r.Pieces {
			at := p.Middle()
			cells := map[string]any{"result_id": id, "number": p.Number, "state": string(p.State), "x_mm": at[0], "y_mm": at[1]}
			if p.State == piece.Measured {
				cells["verdict"], cells["faults"] = string(p.Verdict), piece.Names(p.Faults, ",")
				p.Cells(cells)
			}
			values := make([]any, len(columns))
			for i, c := range columns {
				values[i] = cells[c]
			}
			if err := f(columns, values); err != nil {
				return err
			}
		}
		return nil
	})
}

func scan(rows *sql.Rows, n int) ([]any, error) {
	values, targets := make([]any, n), make([]any, n)
	for i := range values {
		targets[i] = &values[i]
	}
	return values, rows.Scan(targets...)
}
