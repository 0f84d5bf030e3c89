// Package settings keeps the few texts that a kitchen sets: each by its name, whole or
// not at all, and replaced only by who has seen the one before. What they say is for
// the packages that read them.
package settings

import (
	"context"
	"errors"
	"io/fs"
	"slices"
)

// Names of the texts, which are those of their files in a data folder.
const (
	Roster         = "roster.csv"
	Standard       = "standard.toml"
	StandardBefore = "standard-before.toml" // what the last change took the place of
	Prints         = "prints.toml"
	OpenClass      = "open-class.txt" // name of the class that photos go to
	Authority      = "authority.pem"  // which phones have installed
	AuthorityKey   = "authority-key.pem"
	Keeping        = "keeping.toml" // how long what is kept
	Signet         = "signet.pem"   // that certificates of exams are signed with
)

// Names are all there are.
func Names() []string {
	return []string{Roster, Standard, StandardBefore, Prints, OpenClass, Authority, AuthorityKey, Signet, Keeping}
}

// Texts keeps a kitchen's. Its methods may be called from several goroutines and, but
// for a folder's, from several computers.
type Texts interface {
	// Read reads one; fs.ErrNotExist when there is none.
	Read(ctx context.Context, name string) (string, error)
	// Keep puts one in place of whatever is there.
	Keep(ctx context.Context, name, text string) error
	// Replace is Keep, if the text there is still the one before, "" also for none; done
	// is false when it is not. With it go others, which are kept only then.
	Replace(ctx context.Context, name, before, text string, with ...Named) (done bool, err error)
}

// Named is a text with its name.
type Named struct{ Name, Text string }

// Text reads one; one that is not there is empty.
func Text(ctx context.Context, in Texts, name string) (string, error) {
	text, err := in.Read(ctx, name)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	return text, err
}

// Begin reads a text that there must be one of: where there is none it is made, and of
// several who make one at the same moment all get the first. One that somebody emptied
// stays so.
func Begin(ctx context.Context, in Texts, name string, first func() (string, error)) (string, error) {
	if now, err := in.Read(ctx, name); !errors.Is(err, fs.ErrNotExist) {
		return now, err
	}
	text, err := first()
	if err != nil {
		return "", err
	}
	if done, err := in.Replace(ctx, name, "", text); err != nil || done {
		return text, err
	}
	return in.Read(ctx, name)
}

// Change makes of the text that is there another one, however many do so at once;
// change is then called again. One that changes nothing is not kept.
func Change(ctx context.Context, in Texts, name string, change func(now string) (string, error)) error {
	for {
		now, err := Text(ctx, in, name)
		if err != nil {
			return err
		}
		text, err := change(now)
		if err != nil || text == now {
			return err
		}
		if done, err := in.Replace(ctx, name, now, text); err != nil || done {
			return err
		}
	}
}

// known is an error for a name that no text has: a mistake of the program.
func known(name string, with ...Named) error {
	for _, n := range append(with, Named{Name: name}) {
		if !slices.Contains(Names(), n.Name) {
			return &fs.PathError{Op: "setting", Path: n.Name, Err: fs.ErrInvalid}
		}
	}
	return nil
}
