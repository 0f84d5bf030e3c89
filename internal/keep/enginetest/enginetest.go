// Package enginetest runs the tests of what keeps a record on every engine that a record
// may lie on: each test of a package once on a SQLite file, once on a PostgreSQL server.
package enginetest

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/postgrestest"
)

// shared is the run on a server.
var shared bool

// Main is for TestMain.
func Main(m *testing.M) {
	code := m.Run()
	if code == 0 {
		shared = true
		fmt.Println("once more, on PostgreSQL:")
		code = m.Run()
	}
	if server != nil {
		server.Close()
	}
	if err := postgrestest.Stop(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	os.Exit(code)
}

// Shared reports whether this run is on a server, which several processes may share.
func Shared() bool { return shared }

// FileOnly leaves a test out on a server, and says why.
func FileOnly(t testing.TB, why string) {
	t.Helper()
	if shared {
		t.Skip("on a file only: " + why)
	}
}

// Place is a new and empty place for a record.
func Place(t testing.TB) database.Place {
	t.Helper()
	if !shared {
		return database.File(filepath.Join(t.TempDir(), "odd ?#% name.sqlite"))
	}
	return Server(t).Schema(schema(t))
}

// empty forgets all rows of a schema but what was done to its tables, and begins to
// number anew.
const empty = `DO $$
DECLARE r record; BEGIN
	SET LOCAL session_replication_role = replica;
	FOR r IN SELECT schemaname, tablename FROM pg_tables WHERE schemaname = '%[1]s' AND tablename NOT LIKE '%%_version' LOOP
		EXECUTE format('DELETE FROM %%I.%%I', r.schemaname, r.tablename);
	END LOOP;
	PERFORM setval(format('%%I.%%I', schemaname, sequencename), 1, false) FROM pg_sequences WHERE schemaname = '%[1]s' AND sequencename NOT LIKE '%%_version%%';
END $$`

// free are schemas with empty tables: making some takes a third of a second.
var (
	free   []string
	freeMu sync.Mutex
)

func schema(t testing.TB) string {
	t.Helper()
	s, name := postgrestest.Start(t), ""
	freeMu.Lock()
	if n := len(free); n > 0 {
		name, free = free[n-1], free[:n-1]
	}
	freeMu.Unlock()
	if name == "" {
		name = s.Schema(t)
	}
	t.Cleanup(func() {
		s.Exec(t, fmt.Sprintf(empty, name))
		freeMu.Lock()
		free = append(free, name)
		freeMu.Unlock()
	})
	return name
}

var (
	server     *database.Server
	connecting sync.Mutex
)

// Server is the connection to the server, which Main closes.
func Server(t testing.TB) *database.Server {
	t.Helper()
	at := postgrestest.Start(t).URL()
	connecting.Lock()
	defer connecting.Unlock()
	if server == nil {
		s, err := database.Connect(t.Context(), at)
		fatal.If(t, err)
		server = s
	}
	return server
}
