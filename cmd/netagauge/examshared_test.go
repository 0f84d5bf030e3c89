package main

import (
	"strings"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/settings"
)

// Exams of a shared record are set up and held against it as those of a folder; a site
// that is not there is named, and nothing is made for it.
func TestExamOnAServer(t *testing.T) {
	url := postgrestest.Own(t).URL()
	server, err := database.Connect(t.Context(), url)
	fatal.If(t, err)
	defer server.Close()
	at := server.Schema(schemaOf(kitchenAlone))
	kept, err := settings.OpenAt(t.Context(), at)
	fatal.If(t, err)
	defer kept.Close()
	fatal.If(t, kept.Keep(t.Context(), settings.Roster, "label,name\n1,Aoi Example\n2,Bo Example\n"))
	b, err := book.OpenAt(t.Context(), at)
	fatal.If(t, err)
	defer b.Close() // it is in use
	for _, c := range []struct {
		args string
		code int
		says string
	}{
		{"--set-up Autumn --instructor Mori --species sake", command.ExitPass, "Autumn is set up and sealed: 2 candidates have numbers."},
		{"", command.ExitPass, "Autumn: open, 3 acts, whole so far"},
		{"--site north", command.ExitUsage, `there is no site "north"`},
		{"--data x", command.ExitUsage, "name one of"},
	} {
		code, out, said := netagauge(append([]string{"exam", "--database", url}, strings.Fields(c.args)...)...)
		if code != c.code || !strings.Contains(out+said, c.says) {
			t.Errorf("%q: exit code %d, %s%s; want %d with %q", c.args, code, out, said, c.code, c.says)
		}
	}
	if code, _, said := netagauge("exam", "--record", "x.json", "--set-up", "Autumn"); code != command.ExitUsage || !strings.Contains(said, "--database") {
		t.Errorf("an exam is set up in a file: %d, %s", code, said)
	}
	var north bool
	if err := server.Pool().QueryRow(t.Context(), `SELECT EXISTS (SELECT FROM information_schema.schemata WHERE schema_name = 'site_north')`).Scan(&north); err != nil || north {
		t.Errorf("a site was made by asking for it (%v)", err)
	}
}
