// Package sqlite opens the program's SQLite files and brings their tables up to
// date. It knows no table: each package that keeps a file brings its own
// migrations.
package sqlite

import (
	"context"
	"database/sql"
	"io/fs"
	"os"
	"strings"
	"time"

	"netagauge/internal/core/phrase"

	_ "github.com/mattn/go-sqlite3" // the database/sql driver
	"github.com/pressly/goose/v3"
)

// Kept are the settings of a connection that writes what must last. A write-ahead
// log lets readers look on; full synchronisation, because what a person said or
// sent cannot be measured again, and writes are few; the busy timeout, in
// milliseconds, lets two programs take turns.
const Kept = "_journal_mode=WAL&_synchronous=FULL&_busy_timeout=15000&_foreign_keys=on&_txlock=immediate"

// Look are the settings of a connection that only reads.
const Look = "_busy_timeout=15000&_query_only=on"

// Open prepares connections that write what must last to the file at path. One
// that is not there is made so that only its owner may read it: SQLite would let
// others, and gives its companions the mode of the file. What goes wrong with that
// SQLite says when it opens the file.
func Open(path string) (*sql.DB, error) {
	if f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600); err == nil {
		f.Close()
	}
	return Connect(path, Kept)
}

// Connect prepares connections to the file at path with go-sqlite3's settings;
// nothing is opened before the first use.
func Connect(path, settings string) (*sql.DB, error) {
	escaped := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(path)
	return sql.Open("sqlite3", "file:"+escaped+"?"+settings)
}

// Migrate applies the migrations, in a folder of that name, that the file lacks.
// One that a newer program wrote is refused: this one does not know what its
// tables mean.
func Migrate(ctx context.Context, db *sql.DB, migrations fs.FS, steps ...*goose.Migration) error {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, files, goose.WithGoMigrations(steps...))
	if err != nil {
		return err
	}
	have, err := p.GetDBVersion(ctx)
	if err != nil {
		return err
	}
	sources := p.ListSources()
	if latest := sources[len(sources)-1].Version; have > latest {
		return phrase.Wrong("file-newer", have, latest)
	}
	// Two programs that begin one file at the same moment get in each other's
	// way; the slower one finds the work done when it looks again.
	for range 20 {
		if _, err = p.Up(ctx); err == nil {
			return nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}
