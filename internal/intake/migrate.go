package intake

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"

	"github.com/pressly/goose/v3"
)

// migrate brings the list up to date. One that a newer program wrote is refused.
func migrate(ctx context.Context, db *sql.DB) error {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, files)
	if err != nil {
		return err
	}
	have, err := p.GetDBVersion(ctx)
	if err != nil {
		return err
	}
	sources := p.ListSources()
	if latest := sources[len(sources)-1].Version; have > latest {
		return fmt.Errorf("a newer netagauge wrote it (its version is %d, this program knows %d); update the program", have, latest)
	}
	_, err = p.Up(ctx)
	return err
}
