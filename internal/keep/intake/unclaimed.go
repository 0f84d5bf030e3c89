package intake

import (
	"context"
	"errors"
	"io/fs"
	"time"
)

// Unclaimed are photos in the store that no row of the list has: what a server was
// taking in when it was stopped. Nobody was told that they were received.
type Unclaimed struct {
	Photos int
	Bytes  int64

	names []string
}

// unclaimedFor is how old a photo must be, by the store's clock, before it counts: until
// then its row may still come. Our setting, a thousand times longer than that takes.
const unclaimedFor = 24 * time.Hour

// Unclaimed looks for them in a store that servers share. It changes nothing. A folder's
// are moved aside whenever it is opened.
func (f *Folder) Unclaimed(ctx context.Context, now time.Time) (u Unclaimed, err error) {
	known, err := f.claimed(ctx)
	if err != nil {
		return u, f.fail("read which photos there are", err)
	}
	for name, err := range f.photos.List(ctx, "") {
		if err != nil {
			return u, f.fail("look through the photos", err)
		}
		if known[name] {
			continue
		}
		of, err := f.photos.Stat(ctx, name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return u, f.fail("look at a photo", err)
		}
		if now.Sub(of.Kept) >= unclaimedFor {
			u.Photos, u.Bytes, u.names = u.Photos+1, u.Bytes+of.Bytes, append(u.names, name)
		}
	}
	return u, nil
}

// SetAside puts what Unclaimed found where no program looks and people find it, unless
// the list has it by now. It gives how many.
func (f *Folder) SetAside(ctx context.Context, u Unclaimed) (n int, err error) {
	known, err := f.claimed(ctx)
	if err != nil {
		return 0, f.fail("read which photos there are", err)
	}
	for _, name := range u.names {
		if known[name] {
			continue
		}
		if err := f.photos.Aside(ctx, name); err != nil {
			return n, f.fail("set a photo aside", err)
		}
		n++
	}
	return n, nil
}
