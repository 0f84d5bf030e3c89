package main

import (
	"slices"
	"testing"

	"github.com/jackc/pgx/v5"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
)

// queued are the trays that workers find, by site.
func queued(t *testing.T, s *shared) []string {
	t.Helper()
	rows, err := s.server.Pool().Query(t.Context(), `SELECT args->>'site' || ' ' || (args->>'number') FROM river.river_job ORDER BY 1`)
	fatal.If(t, err)
	out, err := pgx.CollectRows(rows, pgx.RowTo[string])
	fatal.If(t, err)
	return out
}

// forget takes all trays out of the queue, as an old backup of it would.
func forget(t *testing.T, s *shared) {
	t.Helper()
	_, err := s.server.Pool().Exec(t.Context(), `DELETE FROM river.river_job`)
	fatal.If(t, err)
}

// Trays that wait and are in no queue are put into it, those of a kitchen alone and then
// of every site; one that is in it is not put in once more.
func TestWhatIsLeftOutIsPutIn(t *testing.T) {
	p, _, _ := place(t)
	s, f := opened(t, p)
	defer s.Close()
	take(t, f, 1, false)
	take(t, f, 2, false)
	forget(t, s)
	want := []string{"kitchen 1", "kitchen 2"}
	for _, site := range []string{"", "osaka"} {
		if site != "" {
			saying(t)(command.ExitPass, "", "sites", "--database", p.database, "--add", site, "--called", "en=Osaka", "--owner", "Mori")
			k, err := s.kitchen(t.Context(), site)
			fatal.If(t, err)
			take(t, k.folder, 3, false)
			forget(t, s)
			want = append(want, "osaka 1")
		}
		for range 2 {
			fatal.If(t, s.resumeAll(t.Context()))
			if got := queued(t, s); !slices.Equal(got, want) {
				t.Errorf("in the queue are %v, want %v", got, want)
			}
		}
	}
}
