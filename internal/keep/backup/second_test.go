package backup

import (
	"bytes"
	"testing"

	"netagauge/internal/core/fatal"
)

// Second photos are in a backup, and known after opening.
func TestSecondPhotoIsKept(t *testing.T) {
	f := kitchen(t)
	s := receive(t, f, 1)
	addSecond(t, f, s.ID, 2)
	addSecond(t, f, s.ID, 3)
	to := again(t, packed(t, f))
	if to.Found().Unclaimed != 0 {
		t.Errorf("%d second photos are taken for nobody's", to.Found().Unclaimed)
	}
	got, err := to.Shot(t.Context(), s.ID)
	fatal.If(t, err)
	file, err := to.OpenSecond(t.Context(), got)
	fatal.If(t, err)
	defer file.Close()
	var data bytes.Buffer
	if _, err := data.ReadFrom(file); err != nil || !bytes.Equal(data.Bytes(), numbered(t, 3)) {
		t.Errorf("the last second photo is not the one that counts: %v", err)
	}
}

// A folder of the time before second photos is backed up as it is, and opened.
func TestFolderWithoutSecondPhotos(t *testing.T) {
	f := kitchen(t)
	s := receive(t, f, 1)
	f.Close()
	onList(t, f.Dir(), `ALTER TABLE shot RENAME COLUMN ticket TO told; ALTER TABLE sent_to RENAME COLUMN ticket TO told; ALTER TABLE sent_to RENAME TO session;
		DROP TABLE second; ALTER TABLE shot DROP COLUMN place; ALTER TABLE shot DROP COLUMN dropped; DROP TABLE removal; DROP INDEX shot_open_of_owner;
		DELETE FROM goose_db_version WHERE version_id > 1`)
	if len(packed(t, f)) == 0 {
		t.Error("it has no backup")
	}
	if got := addSecond(t, opened(t, f.Dir()), s.ID, 2); !got.Second.Counts() {
		t.Errorf("it takes no second photo: %+v", got)
	}
}
