package intake

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
)

// A photo that no row has counts after a day, goes aside and not away, and never one that
// a row has.
func TestUnclaimed(t *testing.T) {
	f, ctx := open4test(t), t.Context()
	s := receive(t, f, theirTray("Bo Test"), numbered(t, 1))
	lost := func(name string) {
		data := []byte("a photo that nobody was told of")
		sum, path := sha256.Sum256(data), filepath.Join(t.TempDir(), "arrived")
		err := os.WriteFile(path, data, 0o600)
		if err == nil {
			err = f.photos.Put(ctx, name, photos.Arrived{Path: path, Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:])})
		}
		fatal.If(t, err)
	}
	lost("lost.jpg")
	now := time.Now()
	for _, c := range []struct {
		at   time.Time
		want int
	}{{now, 0}, {now.Add(23 * time.Hour), 0}, {now.Add(25 * time.Hour), 1}} {
		if u, err := f.Unclaimed(ctx, c.at); err != nil || u.Photos != c.want || (u.Bytes > 0) != (c.want > 0) {
			t.Errorf("after %v: %+v, %v", c.at.Sub(now), u, err)
		}
	}
	u, err := f.Unclaimed(ctx, now.Add(25*time.Hour))
	fatal.If(t, err)
	u.names = append(u.names, s.file()) // whose row came after all
	if n, err := f.SetAside(ctx, u); err != nil || n != 1 {
		t.Errorf("%d were set aside, %v", n, err)
	}
	if _, err := f.photos.Stat(ctx, "lost.jpg"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("it is still there: %v", err)
	}
	if _, err := f.photos.Stat(ctx, s.file()); err != nil {
		t.Errorf("a tray's photo was set aside: %v", err)
	}
	if u, err := f.Unclaimed(ctx, now.Add(25*time.Hour)); err != nil || u.Photos != 0 {
		t.Errorf("afterwards: %+v, %v", u, err)
	}
}
