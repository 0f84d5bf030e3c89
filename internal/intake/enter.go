package intake

import (
	"context"
	"fmt"

	"netagauge/internal/book"
)

// enter puts a shot that was measured into its class or line in the book.
func (f *Folder) enter(ctx context.Context, s Shot) error {
	if s.Kind == Class {
		_, err := f.enterClass(ctx, s.Session, &s)
		return err
	}
	if s.State != Measured {
		return nil // a refused photo is no spot check
	}
	return f.enterLine(ctx, s)
}

// enterLine adds a spot check. Its time is the clock's, but never before that of
// the line's last check: the clock may jump, the order of receipt does not.
func (f *Folder) enterLine(ctx context.Context, s Shot) error {
	checks, err := f.book.SpotChecks(ctx, s.Session)
	if err != nil {
		return err
	}
	at := s.Received
	for _, c := range checks {
		if c.CheckedAt.After(at) {
			at = c.CheckedAt
		}
	}
	_, err = f.book.AddSpotCheck(ctx, book.SpotCheck{Result: s.Result, Line: s.Session, Who: s.Who, File: s.shown(), CheckedAt: at})
	return err
}

// enterClass enters all of a class's photos, with one that is just done, into
// the run for what the class is held against.
func (f *Folder) enterClass(ctx context.Context, name string, just *Shot) (book.Run, error) {
	session, err := f.Session(ctx, Class, name)
	if err != nil {
		return book.Run{}, err
	}
	asked, err := session.Told.asked()
	if err != nil {
		return book.Run{}, err
	}
	hash, err := f.book.Asked(ctx, asked.Standard.Name, asked)
	if err != nil {
		return book.Run{}, err
	}
	run, err := f.book.Begin(ctx, name, session.HeldOn, hash, f.program)
	if err != nil {
		return run, err
	}
	shots, err := f.List(ctx, Which{Kind: Class, Session: name})
	if err != nil {
		return run, err
	}
	for i := range shots {
		if just != nil && shots[i].Number == just.Number && shots[i].Turn == just.Turn {
			shots[i] = *just
		}
	}
	entries := entriesOf(shots)
	for i := range entries {
		if entries[i].Label, err = f.book.Seen(ctx, entries[i].Result); err != nil {
			return run, err
		}
	}
	run.Finished = true
	return run, f.book.Finish(ctx, run.ID, entries)
}

// entriesOf turns shots, in the order of receipt, into entries of the book. A
// photo counts once: sent twice by one owner, the later one counts, since it has
// the corrected numbers; sent by another owner it is a copy and does not count.
func entriesOf(shots []Shot) []book.Entry {
	owner, last := map[string]string{}, map[string]int64{} // by content
	for _, s := range shots {
		if s.Result == 0 {
			continue
		}
		if owner[s.Hash] == "" {
			owner[s.Hash] = s.Owner
		}
		if owner[s.Hash] == s.Owner {
			last[s.Hash] = s.Number
		}
	}
	var out []book.Entry
	for _, s := range shots {
		if s.Result == 0 {
			continue
		}
		e := book.Entry{Result: s.Result, File: s.shown(), Photo: s.Hash, LabelFrom: "mat", Trainee: s.Who}
		switch {
		case owner[s.Hash] != s.Owner:
			e.Trainee, e.Note = "", "somebody else sent the same photo before; it was not counted again"
		case last[s.Hash] != s.Number:
			e.Trainee, e.Note = "", fmt.Sprintf("it was sent again as number %d, which counts", last[s.Hash])
		}
		out = append(out, e)
	}
	return out
}

// shown is a name for people, which no two shots share.
func (s Shot) shown() string { return fmt.Sprintf("%04d %s", s.Number, s.Name) }
