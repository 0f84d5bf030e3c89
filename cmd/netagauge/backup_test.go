package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/ticket"

	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/testdata/photos"
)

// A folder that is in use is backed up and restored by the two verbs.
func TestBackupAndRestoreVerbs(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen")
	f, err := intake.Open(t.Context(), dir, "v1")
	fatal.If(t, err)
	defer f.Close()
	f.Limits.Free = 0
	told := ticket.Ticket{Standard: standard.Default()}
	fatal.If(t, f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Ticket: told}))
	photo, err := photos.Files.ReadFile("tray-laid.jpg")
	fatal.If(t, err)
	sent, err := f.Receive(t.Context(), intake.Shot{Owner: "7", Kind: intake.Class, Session: "Monday", Ticket: told, Name: "tray.jpg"}, bytes.NewReader(photo))
	fatal.If(t, err)
	file, again := filepath.Join(t.TempDir(), "kitchen.tar.gz"), filepath.Join(t.TempDir(), "again")
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"backup", "--data", dir, file}, command.ExitPass, "holds all of"},
		{[]string{"restore", file, "--data", again}, command.ExitPass, "is restored from"},
		{[]string{"restore", file, "--data", again}, command.ExitRefused, "not empty"},
		{[]string{"backup", "--data", dir, filepath.Join(dir, "no", "such", "file")}, command.ExitRefused, "no such file"},
	} {
		if code, out, said := netagauge(c.args...); code != c.code || !strings.Contains(out+said, c.want) {
			t.Errorf("%s: exit code %d, %s%s; want %d with %q", c.args, code, out, said, c.code, c.want)
		}
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read the backup: %v, %v", info.Mode(), err)
	}
	made, err := account.Open(t.Context(), filepath.Join(dir, intake.AccountsFile))
	fatal.If(t, err)
	made.Close()
	accounts, err := database.ConnectFile(filepath.Join(dir, intake.AccountsFile), "")
	fatal.If(t, err)
	_, err = accounts.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)`)
	fatal.If(t, errors.Join(err, accounts.Close()))
	after := filepath.Join(t.TempDir(), "after")
	netagauge("backup", "--data", dir, after)
	newer := filepath.Join(t.TempDir(), "newer")
	if code, _, said := netagauge("restore", after, "--data", newer); code != command.ExitRefused || !strings.Contains(said, "newer netagauge") {
		t.Errorf("accounts of a newer program: exit code %d, %s", code, said)
	}
	if got, err := os.ReadFile(filepath.Join(again, "photos", sent.ID+".jpg")); err != nil || !bytes.Equal(got, photo) {
		t.Errorf("the photo restored is not the one sent: %v", err)
	}
}
