package database

import "database/sql"

// Row scans the row that is to be read.
type Row func(into ...any) error

// Every reads rows one by one, and closes them: Every(read)(db.QueryContext(…)).
func Every(read func(scan Row) error) func(*sql.Rows, error) error {
	return func(rows *sql.Rows, err error) error {
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			if err := read(rows.Scan); err != nil {
				return err
			}
		}
		return rows.Err()
	}
}

// Each is what was read of each row.
func Each[T any](read func(scan Row) (T, error)) func(*sql.Rows, error) ([]T, error) {
	return func(rows *sql.Rows, err error) (out []T, _ error) {
		err = Every(func(scan Row) error {
			x, err := read(scan)
			out = append(out, x)
			return err
		})(rows, err)
		if err != nil {
			return nil, err
		}
		return out, nil
	}
}

// All reads rows of one value each.
func All[T any](rows *sql.Rows, err error) ([]T, error) {
	return Each(func(scan Row) (x T, err error) { return x, scan(&x) })(rows, err)
}

// Pairs reads rows of a key and a value; of several with one key the last counts.
func Pairs[K comparable, V any](rows *sql.Rows, err error) (map[K]V, error) {
	out := map[K]V{}
	err = Every(func(scan Row) error {
		var k K
		var v V
		err := scan(&k, &v)
		out[k] = v
		return err
	})(rows, err)
	return out, err
}
