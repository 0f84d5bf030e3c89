package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/intake"
	"netagauge/testdata/photos"
)

// A folder that is in use is backed up and restored by the two verbs.
func TestBackupAndRestoreVerbs(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen")
	f, err := intake.Open(t.Context(), dir, "v1")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	f.Limits.Free = 0
	told := intake.Told{Standard: standard.Default()}
	if err := f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Told: told}); err != nil {
		t.Fatal(err)
	}
	photo, err := photos.Files.ReadFile("tray-laid.jpg")
	if err != nil {
		t.Fatal(err)
	}
	sent, err := f.Receive(t.Context(), intake.Shot{Owner: "7", Kind: intake.Class, Session: "Monday", Told: told, Name: "tray.jpg"}, bytes.NewReader(photo))
	if err != nil {
		t.Fatal(err)
	}
	file, again := filepath.Join(t.TempDir(), "kitchen.tar.gz"), filepath.Join(t.TempDir(), "again")
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"backup", "--data", dir, file}, exitPass, "holds all of"},
		{[]string{"restore", file, "--data", again}, exitPass, "is restored from"},
		{[]string{"restore", file, "--data", again}, exitRefused, "not empty"},
		{[]string{"backup", "--data", dir, filepath.Join(dir, "no", "such", "file")}, exitRefused, "no such file"},
	} {
		if code, out, said := netagauge(c.args...); code != c.code || !strings.Contains(out+said, c.want) {
			t.Errorf("%s: exit code %d, %s%s; want %d with %q", c.args, code, out, said, c.code, c.want)
		}
	}
	if got, err := os.ReadFile(filepath.Join(again, "photos", sent.ID+".jpg")); err != nil || !bytes.Equal(got, photo) {
		t.Errorf("the photo restored is not the one sent: %v", err)
	}
}
