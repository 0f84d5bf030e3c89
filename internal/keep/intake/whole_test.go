package intake

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"netagauge/internal/keep/archive"
	"netagauge/internal/keep/enginetest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/keep/database"
	"netagauge/internal/keep/settings"
)

// A folder that has lost its list, or its book, is not taken for a new one, and
// nothing in it is moved.
func TestFolderThatLostAFile(t *testing.T) {
	enginetest.FileOnly(t, "a folder is one server's")
	for name, want := range map[string]error{listFile: ErrNoList, BookFile: ErrNoBook} {
		f := filled(t)
		dir := f.Dir()
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		if err := os.Remove(filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
		before := photosOf(t, dir)
		again, err := Open(t.Context(), dir, program)
		if !errors.Is(err, want) || !strings.Contains(err.Error(), "netagauge restore") {
			t.Errorf("without %s it opens with %v", name, err)
		}
		if err == nil {
			again.Close()
		}
		if after := photosOf(t, dir); len(after) != 3 || len(after) != len(before) {
			t.Errorf("without %s: %d photos are there, %d were", name, len(after), len(before))
		}
	}
}

func photosOf(t *testing.T, dir string) []os.DirEntry {
	t.Helper()
	files, err := os.ReadDir(filepath.Join(dir, photosDir))
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// Whatever the mode of the folder, only the owner reads what is in it, the write-
// ahead logs and what an earlier program left open among them.
func TestFilesArePrivate(t *testing.T) {
	enginetest.FileOnly(t, "a folder is one server's")
	f := filled(t)
	dir := f.Dir()
	private(t, dir)
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Join(dir, settings.Roster), 0o644); err != nil {
		t.Fatal(err)
	}
	f.Close()
	if err := os.Chmod(filepath.Join(dir, BookFile), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := Open(t.Context(), dir, program)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	receive(t, f, sent("8"), numbered(t, 8))
	private(t, dir)
	to := filepath.Join(t.TempDir(), "again")
	if err := Restore(t.Context(), bytes.NewReader(backupOf(t, f)), to); err != nil {
		t.Fatal(err)
	}
	private(t, to)
}

func private(t *testing.T, dir string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil && info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v", e.Name(), info.Mode().Perm())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// withFile is a backup with one file more, which its manifest lists.
func withFile(t *testing.T, backup []byte, name string, content []byte) []byte {
	t.Helper()
	return remade(t, backup, func(files map[string][]byte) { files[name] = content })
}

// remade is a backup whose files were changed, sound in every other way.
func remade(t *testing.T, backup []byte, change func(map[string][]byte)) []byte {
	t.Helper()
	zip, err := gzip.NewReader(bytes.NewReader(backup))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for in := tar.NewReader(zip); ; {
		h, err := in.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if files[h.Name], err = io.ReadAll(in); err != nil {
			t.Fatal(err)
		}
	}
	const manifestFile = "manifest.json"
	var m archive.Manifest
	if err := json.Unmarshal(files[manifestFile], &m); err != nil {
		t.Fatal(err)
	}
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
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	db, err := database.ConnectFile(path, "_journal_mode=DELETE")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(statements); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	out, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A backup whose hashes are right and that holds what no backup does.
func TestRestoreRefusesWhatDoesNotBelong(t *testing.T) {
	enginetest.FileOnly(t, "a backup is of a folder")
	f := filled(t)
	whole := backupOf(t, f)
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"write-ahead log": {withFile(t, whole, listFile+"-wal", []byte("pages")), "does not belong"},
		"journal":         {withFile(t, whole, BookFile+"-journal", []byte("pages")), "does not belong"},
		"lock":            {withFile(t, whole, lockFile, nil), "does not belong"},
		"program":         {withFile(t, whole, "notes.sh", []byte("#!")), "does not belong"},
		"stray photo":     {withFile(t, whole, photosDir+"/"+newID()+".jpg", []byte("pixels")), "does not belong in it"},
		"no accounts":     {withFile(t, whole, AccountsFile, []byte("names")), AccountsFile},
		"trigger": {remade(t, whole, func(files map[string][]byte) {
			files[BookFile] = changed(t, files[BookFile], `CREATE TRIGGER x AFTER INSERT ON entry BEGIN DELETE FROM result; END`)
		}), "by itself"},
		"newer list": {remade(t, whole, func(files map[string][]byte) {
			files[listFile] = changed(t, files[listFile], `INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)`)
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
