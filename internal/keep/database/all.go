package database

import "database/sql"

// Row scans the row that is to be read.
type Row func(into ...any) error

// Each reads rows one by one, and closes them: Each(read)(db.QueryContext(…)).
func Each[T any](read func(scan Row) (T, error)) func(*sql.Rows, error) ([]T, error) {
	return func(rows *sql.Rows, err error) ([]T, error) {
		if err != nil {
			return nil, err
		}
		defer rows.Close()
		var out []T
		for rows.Next() {
			x, err := read(rows.Scan)
			if err != nil {
				return nil, err
			}
			out = append(out, x)
		}
		return out, rows.Err()
	}
}

// All reads rows of one value each.
func All[T any](rows *sql.Rows, err error) ([]T, error) {
	return Each(func(scan Row) (x T, err error) { return x, scan(&x) })(rows, err)
}

// Pairs reads rows of a key and a value; of several with one key the last counts.
func Pairs[K comparable, V any](rows *sql.Rows, err error) (map[K]V, error) {
	out := map[K]V{}
	_, err = Each(func(scan Row) (k K, err error) {
		var v V
		err = scan(&k, &v)
		out[k] = v
		return k, err
	})(rows, err)
	return out, err
}
