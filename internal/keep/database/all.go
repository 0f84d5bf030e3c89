package database

import "database/sql"

// All reads rows of one value each, and closes them.
func All[T any](rows *sql.Rows, err error) (out []T, _ error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var v T
		if err := rows.Scan(&v); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}
