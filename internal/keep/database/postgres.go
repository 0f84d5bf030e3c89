package database

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"io/fs"
	"regexp"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"netagauge/internal/core/phrase"
)

// Server is a PostgreSQL server that records lie on, each in a schema of its own. All of
// them share its connections.
type Server struct {
	// Patience is how long what finds no server, or was thrown out by one that stopped,
	// is tried again. It may be changed before the first use.
	Patience time.Duration

	pool *pgxpool.Pool
}

// Settings of the connections. A process has no more than this many, unless the address
// says pool_max_conns: PostgreSQL allows 100 in all by default, to be shared by servers
// and workers.
const (
	connections    = 16
	connectTimeout = 5 * time.Second
	patience       = 8 * time.Second // a restart after a crash takes a second or two
)

// Connect reaches a PostgreSQL server at an address such as
// postgres://user@host/database; what it leaves out comes by PostgreSQL's own environment
// variables, PGPASSWORD among them.
func Connect(ctx context.Context, address string) (*Server, error) {
	c, err := pgxpool.ParseConfig(address)
	if err != nil {
		return nil, phrase.Wrong("database-address").For(err)
	}
	if !poolSize.MatchString(address) {
		c.MaxConns = connections
	}
	if c.ConnConfig.ConnectTimeout == 0 {
		c.ConnConfig.ConnectTimeout = connectTimeout
	}
	for name, value := range map[string]string{"application_name": "netagauge", "timezone": "UTC", "standard_conforming_strings": "on"} {
		if _, told := c.ConnConfig.RuntimeParams[name]; !told {
			c.ConnConfig.RuntimeParams[name] = value
		}
	}
	pool, err := pgxpool.NewWithConfig(ctx, c)
	if err != nil {
		return nil, Plain(err)
	}
	s := &Server{Patience: patience, pool: pool}
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, Plain(err)
	}
	return s, nil
}

var poolSize = regexp.MustCompile(`\bpool_max_conns=`)

// Pool is for what needs connections of its own, such as a queue. Whatever takes one
// must not count on its search_path.
func (s *Server) Pool() *pgxpool.Pool { return s.pool }

// Close closes all connections. What is open at the server must have been closed.
func (s *Server) Close() {
	s.pool.Close()
}

// Schema is the schema of that name, which Open makes where there is none.
func (s *Server) Schema(name string) Place { return Place{server: s, schema: name} }

// plainName is a schema that needs no quotes and fits into PostgreSQL's 63 bytes.
var plainName = regexp.MustCompile(`^[a-z][a-z0-9_]{0,62}$`)

func openSchema(ctx context.Context, at Place, p Part) (*DB, error) {
	if !plainName.MatchString(at.schema) {
		return nil, phrase.Wrong("database-schema", at.schema)
	}
	db := sql.OpenDB(connector{stdlib.GetPoolConnector(at.server.pool), at.schema})
	db.SetMaxIdleConns(0) // the pool keeps them
	d := &DB{write: db, look: db, server: at.server, schema: at.schema}
	if err := at.server.again(ctx, func(ctx context.Context) error { return d.migrate(ctx, p) }); err != nil {
		db.Close()
		return nil, err
	}
	return d, nil
}

// connector gives connections of a pool that look into one schema. PostgreSQL plans a
// prepared statement anew when the search path has changed.
type connector struct {
	driver.Connector
	schema string
}

func (c connector) Connect(ctx context.Context) (driver.Conn, error) {
	got, err := c.Connector.Connect(ctx)
	if err != nil {
		return nil, err
	}
	conn := got.(*stdlib.Conn)
	seen := conn.Conn().PgConn().CustomData()
	if seen["schema"] != c.schema {
		if _, err := conn.Conn().Exec(ctx, "SET search_path TO "+pgx.Identifier{c.schema}.Sanitize()); err != nil {
			conn.Close()
			return nil, err
		}
		seen["schema"] = c.schema
	}
	return plainConn{conn}, nil
}

// plainConn keeps texts as SQLite keeps them, see plainText.
type plainConn struct{ *stdlib.Conn }

func (c plainConn) CheckNamedValue(v *driver.NamedValue) error {
	plainText(v)
	return nil // pgx takes all that is left, lists among them
}

// migrate makes the schema and applies the migrations that it lacks, one server at a
// time. One that a newer program wrote is refused.
func (d *DB) migrate(ctx context.Context, part Part) error {
	var there bool
	if err := d.write.QueryRowContext(ctx, `SELECT to_regnamespace($1) IS NOT NULL`, d.schema).Scan(&there); err != nil {
		return err
	}
	files, err := fs.Sub(part.Migrations, "migrations/postgres")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectPostgres, d.write, files, goose.WithTableName(part.Name+"_version"))
	if err != nil {
		return err
	}
	if there {
		if done, err := migrated(ctx, p); done || err != nil {
			return err
		}
	}
	return d.locked(ctx, "migrations", func(ctx context.Context, conn *sql.Conn) error {
		if _, err := conn.ExecContext(ctx, `CREATE SCHEMA IF NOT EXISTS `+pgx.Identifier{d.schema}.Sanitize()); err != nil {
			return err
		}
		if done, err := migrated(ctx, p); done || err != nil {
			return err
		}
		_, err := p.Up(ctx)
		return err
	})
}

// migrated reports whether nothing is left to be applied.
func migrated(ctx context.Context, p *goose.Provider) (bool, error) {
	have, err := p.GetDBVersion(ctx)
	if err != nil {
		return false, err
	}
	sources := p.ListSources()
	latest := sources[len(sources)-1].Version
	if have > latest {
		return false, phrase.Wrong("file-newer", have, latest)
	}
	return have == latest, nil
}

// locked runs f while no other process holds the lock of that name in the schema. The
// lock goes with its connection, which f is given.
func (d *DB) locked(ctx context.Context, name string, f func(context.Context, *sql.Conn) error) (err error) {
	conn, err := d.write.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	key := d.schema + "/" + name
	if _, err := conn.ExecContext(ctx, `SELECT pg_advisory_lock(hashtextextended($1, 0))`, key); err != nil {
		return err
	}
	defer func() {
		free, cancel := context.WithTimeout(context.WithoutCancel(ctx), connectTimeout)
		defer cancel()
		if _, uerr := conn.ExecContext(free, `SELECT pg_advisory_unlock(hashtextextended($1, 0))`, key); uerr != nil {
			conn.Raw(func(c any) error { return c.(plainConn).Conn.Conn().Close(free) }) // and the lock with it
		}
	}()
	return f(ctx, conn)
}

// is reports whether PostgreSQL gave one of these codes.
func is(err error, codes ...string) bool {
	var said *pgconn.PgError
	if !errors.As(err, &said) {
		return false
	}
	for _, code := range codes {
		if said.Code == code || len(code) == 2 && len(said.Code) == 5 && said.Code[:2] == code {
			return true
		}
	}
	return false
}
