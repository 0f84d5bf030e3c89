package backup

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/archive"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
)

// withFile is a backup with one file more, which its manifest lists.
func withFile(t *testing.T, backup []byte, name string, content []byte) []byte {
	t.Helper()
	return remade(t, backup, func(files map[string][]byte) { files[name] = content })
}

const manifestFile = "manifest.json"

// filesOf are the files of a backup by their names.
func filesOf(t *testing.T, backup []byte) map[string][]byte {
	t.Helper()
	zip, err := gzip.NewReader(bytes.NewReader(backup))
	fatal.If(t, err)
	files := map[string][]byte{}
	for in := tar.NewReader(zip); ; {
		h, err := in.Next()
		if errors.Is(err, io.EOF) {
			return files
		}
		fatal.If(t, err)
		if files[h.Name], err = io.ReadAll(in); err != nil {
			t.Fatal(err)
		}
	}
}

// remade is a backup whose files were changed, sound in every other way.
func remade(t *testing.T, backup []byte, change func(map[string][]byte)) []byte {
	t.Helper()
	files := filesOf(t, backup)
	var m archive.Manifest
	fatal.If(t, json.Unmarshal(files[manifestFile], &m))
	m.Files, m.Absent = nil, nil
	delete(files, manifestFile)
	change(files)
	return tarOf(t, func(w *tar.Writer) {
		for name, data := range files {
			sum := sha256.Sum256(data)
			m.Files = append(m.Files, archive.Listed{Name: name, Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:])})
			w.WriteHeader(&tar.Header{Name: name, Size: int64(len(data)), Mode: 0o600})
			w.Write(data)
		}
		text, _ := json.Marshal(m)
		w.WriteHeader(&tar.Header{Name: manifestFile, Size: int64(len(text)), Mode: 0o600})
		w.Write(text)
	})
}

// changed is a database on which the statements were run.
func changed(t *testing.T, data []byte, statements string) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), "x.sqlite")
	fatal.If(t, os.WriteFile(path, data, 0o600))
	db, err := database.ConnectFile(path, "_journal_mode=DELETE")
	fatal.If(t, err)
	if _, err := db.Exec(statements); err != nil {
		t.Fatal(err)
	}
	fatal.If(t, db.Close())
	out, err := os.ReadFile(path)
	fatal.If(t, err)
	return out
}

// A backup whose hashes are right and that holds what no backup does.
func TestRestoreRefusesWhatDoesNotBelong(t *testing.T) {
	whole := packed(t, filled(t))
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"write-ahead log": {withFile(t, whole, intake.ListFile+"-wal", []byte("pages")), "does not belong"},
		"journal":         {withFile(t, whole, intake.BookFile+"-journal", []byte("pages")), "does not belong"},
		"lock":            {withFile(t, whole, intake.LockFile, nil), "does not belong"},
		"program":         {withFile(t, whole, "notes.sh", []byte("#!")), "does not belong"},
		"stray photo":     {withFile(t, whole, intake.PhotosDir+"/"+strings.Repeat("a", 26)+".jpg", []byte("pixels")), "does not belong in it"},
		"no accounts":     {withFile(t, whole, intake.AccountsFile, []byte("names")), intake.AccountsFile},
		"trigger": {remade(t, whole, func(files map[string][]byte) {
			files[intake.BookFile] = changed(t, files[intake.BookFile], `CREATE TRIGGER x AFTER INSERT ON entry BEGIN DELETE FROM result; END`)
		}), "by itself"},
		"newer list": {remade(t, whole, func(files map[string][]byte) {
			files[intake.ListFile] = changed(t, files[intake.ListFile], `INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)`)
		}), "newer netagauge"},
		"bomb": {withFile(t, whole, settings.Roster, make([]byte, archive.UnpackedFree+archive.UnpackedFree/4)), "unpack to more than"},
	} {
		parent := t.TempDir()
		err := Restore(t.Context(), bytes.NewReader(c.data), filepath.Join(parent, "again"))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
		if left, err := os.ReadDir(parent); err != nil || len(left) > 0 {
			t.Errorf("%s: %v is left (%v)", name, left, err)
		}
	}
}
