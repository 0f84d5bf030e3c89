package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/photos/s3test"
	"netagauge/internal/keep/postgrestest"
)

// The whole command: counted, moved there, moved back, and all that is given away of the
// record is the same, byte for byte.
func TestMoveThereAndBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen")
	f, err := intake.Open(t.Context(), dir, "v1")
	fatal.If(t, err)
	told := ticket.Ticket{Standard: standard.Default()}
	fatal.If(t, errors.Join(f.SetSession(t.Context(), intake.Session{Kind: intake.Line, Name: "lunch", Ticket: told}), f.Close()))
	server := postgrestest.Start(t).Database(t)
	shared := server + "," + s3test.Address(s3test.StartFake(t).URL, "trays")
	again := filepath.Join(t.TempDir(), "again")
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"move"}, command.ExitUsage, "--from and --to"},
		{[]string{"move", "--from", dir, "--to", again}, command.ExitUsage, "between a data folder and a shared place"},
		{[]string{"move", "--from", dir, "--to", server}, command.ExitUsage, "between a data folder and a shared place"},
		{[]string{"move", "--from", again, "--to", shared}, command.ExitRefused, "no data folder"},
		{[]string{"move", "--from", dir, "--to", shared, "--dry-run"}, command.ExitPass, "0 photos"},
		{[]string{"move", "--from", dir, "--to", shared}, command.ExitPass, "the old one is as it was"},
		{[]string{"move", "--from", dir, "--to", shared}, command.ExitRefused, "something else"},
		{[]string{"move", "--from", shared, "--to", again}, command.ExitPass, "the old one is as it was"},
	} {
		var out, errw bytes.Buffer
		if code := run(t.Context(), c.args, &out, &errw); code != c.code || !strings.Contains(out.String()+errw.String(), c.says) {
			t.Errorf("%v: %d, says %s%s", c.args[1:], code, &out, &errw)
		}
	}
	if a, b := bookOf(t, dir), bookOf(t, again); !bytes.Equal(a, b) {
		t.Errorf("exports differ: %s and %s", a, b)
	}
	if _, err := os.Stat(filepath.Join(again, intake.UnfinishedDir)); err == nil {
		t.Error("it is unfinished")
	}
}

func bookOf(t *testing.T, dir string) []byte {
	t.Helper()
	b, err := book.Open(t.Context(), filepath.Join(dir, intake.BookFile))
	fatal.If(t, err)
	defer b.Close()
	var out bytes.Buffer
	fatal.If(t, b.ExportJSON(t.Context(), &out))
	return out.Bytes()
}
