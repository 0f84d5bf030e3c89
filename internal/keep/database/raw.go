package database

import (
	"database/sql"

	"github.com/jackc/pgx/v5/stdlib"
)

// Raw gives connections to a place as it is, for what goes over all tables without
// knowing them: nothing is made, brought up to date or tried again.
func Raw(at Place) (*sql.DB, error) {
	if at.server == nil {
		return ConnectFile(at.path, kept)
	}
	db := sql.OpenDB(connector{stdlib.GetPoolConnector(at.server.pool), at.schema})
	db.SetMaxIdleConns(0) // the pool keeps them
	return db, nil
}
