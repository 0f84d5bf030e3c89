package database

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"time"

	"netagauge/internal/core/phrase"

	"github.com/mattn/go-sqlite3"
	"github.com/pressly/goose/v3"
)

// kept are the settings of a connection that writes what must last. A write-ahead
// log lets readers look on; full synchronisation, because what a person said or
// sent cannot be measured again, and writes are few; the busy timeout, in
// milliseconds, lets two programs take turns; what is deleted is overwritten.
const kept = "_secure_delete=on&_journal_mode=WAL&_synchronous=FULL&_busy_timeout=15000&_foreign_keys=on&_txlock=immediate"

// readOnly are the settings of a connection that only reads.
const readOnly = "_busy_timeout=15000&_query_only=on"

// inMemory is gone when it is closed, and has one connection.
const inMemory = ":memory:"

// openFile opens a SQLite file. One that is not there is made so that only its owner
// may read it: SQLite would let others, and gives its companions the mode of the file.
// What goes wrong with that SQLite says when it opens the file.
func openFile(ctx context.Context, path string, p Part) (*DB, error) {
	settings := kept
	if path == inMemory {
		settings = "_foreign_keys=on"
	} else if f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600); err == nil {
		f.Close()
	}
	write, err := ConnectFile(path, settings)
	if err != nil {
		return nil, err
	}
	write.SetMaxOpenConns(1)
	if err := migrateFile(ctx, write, p); err != nil {
		write.Close()
		return nil, err
	}
	if path == inMemory || p.Readers == 0 {
		return &DB{write: write, look: write}, nil
	}
	look, err := ConnectFile(path, readOnly)
	if err != nil {
		write.Close()
		return nil, err
	}
	look.SetMaxOpenConns(p.Readers)
	look.SetMaxIdleConns(p.Readers)
	return &DB{write: write, look: look}, nil
}

// ConnectFile prepares connections to the SQLite file at path with go-sqlite3's settings;
// nothing is opened before the first use.
func ConnectFile(path, settings string) (*sql.DB, error) {
	escaped := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(path)
	return sql.Open(fileDriver, "file:"+escaped+"?"+settings)
}

// migrateFile applies the migrations that the file lacks. One that a newer program wrote
// is refused: this one does not know what its tables mean.
func migrateFile(ctx context.Context, db *sql.DB, part Part) error {
	files, err := fs.Sub(part.Migrations, "migrations/sqlite")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, files, goose.WithGoMigrations(part.Steps...))
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

// Scrub takes from a file what was deleted and its write-ahead log would still have for a
// while; a reader that holds it up lets it be done another time. A server clears up by
// itself.
func (d *DB) Scrub(ctx context.Context) error {
	if d.server != nil {
		return nil
	}
	_, err := d.write.ExecContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`)
	return err
}

// fileDriver is go-sqlite3's, which keeps texts as plainText has them.
const fileDriver = "netagauge-sqlite"

func init() { sql.Register(fileDriver, plainDriver{&sqlite3.SQLiteDriver{}}) }

type plainDriver struct{ *sqlite3.SQLiteDriver }

func (d plainDriver) Open(path string) (driver.Conn, error) {
	c, err := d.SQLiteDriver.Open(path)
	if err != nil {
		return nil, err
	}
	return plainFile{c.(*sqlite3.SQLiteConn)}, nil
}

type plainFile struct{ *sqlite3.SQLiteConn }

func (plainFile) CheckNamedValue(v *driver.NamedValue) (err error) {
	plainText(v)
	v.Value, err = driver.DefaultParameterConverter.ConvertValue(v.Value)
	return err
}

// Among is the condition that a column's value is one of those of a List that is given
// for the placeholder.
func (d *DB) Among(column, placeholder string) string {
	if d.server != nil {
		return fmt.Sprintf(`%s = ANY(%s)`, column, placeholder)
	}
	return fmt.Sprintf(`%s IN (SELECT value FROM json_each(%s))`, column, placeholder)
}

// List is the argument for Among.
func List[T int64 | string](d *DB, of []T) any {
	of = append([]T{}, of...) // an empty list, not NULL
	if d.server != nil {
		return of
	}
	text, err := json.Marshal(of)
	if err != nil {
		panic(err) // they are numbers or texts
	}
	return string(text)
}
