package postgrestest

import (
	"testing"

	"github.com/jackc/pgx/v5"

	"netagauge/internal/core/fatal"
)

func TestMain(m *testing.M) { Main(m) }

// What was committed is there after a crash, what was not is not.
func TestCrash(t *testing.T) {
	s, ctx := Own(t), t.Context()
	db, err := pgx.Connect(ctx, s.URL())
	fatal.If(t, err)
	for _, statement := range []string{`CREATE TABLE a (n BIGINT)`, `INSERT INTO a VALUES (1)`, `BEGIN`, `INSERT INTO a VALUES (2)`} {
		if _, err := db.Exec(ctx, statement); err != nil {
			t.Fatal(err)
		}
	}
	s.Crash(t)
	if _, err := db.Exec(ctx, `COMMIT`); err == nil {
		t.Error("a server that was stopped goes on")
	}
	s.Again(t)
	if db, err = pgx.Connect(ctx, s.URL()); err != nil {
		t.Fatal(err)
	}
	defer db.Close(ctx)
	var sum int
	if err := db.QueryRow(ctx, `SELECT sum(n) FROM a`).Scan(&sum); err != nil || sum != 1 {
		t.Errorf("the sum is %d, %v; want 1", sum, err)
	}
}

// Every test has a schema of its own, on one server.
func TestSchemas(t *testing.T) {
	s := Start(t)
	if a, b := s.Schema(t), s.Schema(t); a == b || Start(t) != s {
		t.Errorf("schemas %s and %s", a, b)
	}
}
