package intake

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/database"
)

// enter puts a shot that was measured into its line or exam in the book.
func (f *Folder) enter(ctx context.Context, s Shot) error {
	switch {
	case s.State != Measured:
		return nil // a refused photo is no spot check, and no tray of an exam
	case s.Kind == Exam:
		return f.enterExam(ctx, s)
	}
	return f.enterLine(ctx, s)
}

// enterExam adds a tray, unless the exam was closed meanwhile.
func (f *Folder) enterExam(ctx context.Context, s Shot) error {
	of, err := f.book.ExamNamed(ctx, s.Session)
	if err != nil {
		return err
	}
	number, err := strconv.Atoi(s.Who)
	if err != nil {
		return err
	}
	if err := f.book.SendTray(ctx, of.ID, number, s.Place, s.Result, s.Received); !errors.Is(err, exam.ErrClosed) {
		return err
	}
	return nil
}

// waitsOnPhone is how long a photo may wait on a phone until the server is in reach;
// one that says it is older has a camera whose clock is wrong.
const waitsOnPhone = 7 * 24 * time.Hour

// enterLine adds a spot check. Its time is that when the photo was taken, as far as
// it tells and may be believed; else that of receipt, but never before that of the
// line's last check: the clock may jump, the order of receipt does not.
func (f *Folder) enterLine(ctx context.Context, s Shot) error {
	tray, err := f.book.Report(ctx, s.Result)
	if err != nil {
		return err
	}
	check := book.SpotCheck{Result: s.Result, Line: s.Session, Who: s.Who, File: s.shown(), CheckedAt: s.Received}
	if at, told := tray.Photo.TakenAt(time.Local); told && !at.After(s.Received) && s.Received.Sub(at) < waitsOnPhone {
		check.CheckedAt = at
		return f.addCheck(ctx, s, check)
	}
	last, err := f.book.SpotChecks(ctx, s.Session, book.Span{Last: 1})
	if err != nil {
		return err
	}
	if len(last) > 0 && last[0].CheckedAt.After(check.CheckedAt) {
		check.CheckedAt = last[0].CheckedAt
	}
	return f.addCheck(ctx, s, check)
}

// addCheck adds a spot check and sums it up.
func (f *Folder) addCheck(ctx context.Context, s Shot, check book.SpotCheck) error {
	if _, _, err := f.book.AddSpotCheck(ctx, check); err != nil {
		return err
	}
	check.Photo = s.Hash
	return f.book.SumUp(ctx, check.Tally())
}

// run is the class's run in the book for what the class is held against now. A
// new one gets every photo of the class that is done.
func (f *Folder) run(ctx context.Context, name string) (book.Run, error) {
	session, err := f.Session(ctx, Class, name)
	if err != nil {
		return book.Run{}, err
	}
	hash, err := f.book.Ticket(ctx, session.Ticket)
	if err != nil {
		return book.Run{}, err
	}
	run, err := f.book.Begin(ctx, name, session.HeldOn, hash, f.program)
	if err != nil || run.Finished {
		return run, err
	}
	shots, err := f.List(ctx, Filter{Kind: Class, Session: name})
	if err != nil {
		return run, err
	}
	_, entries, err := f.entries(ctx, shots)
	if err != nil {
		return run, err
	}
	run.Finished = true
	return run, f.book.Finish(ctx, run.ID, entries)
}

// enterCopies enters shots of one class as they are now, and others of the same
// content: which of them counts may change with it.
func (f *Folder) enterCopies(ctx context.Context, now []Shot) error {
	run, err := f.run(ctx, now[0].Session)
	if err != nil {
		return err
	}
	hashes := make([]string, len(now))
	for i, s := range now {
		hashes[i] = s.Hash
	}
	shots, err := f.shots(ctx, f.db, `WHERE kind = $1 AND session = $2 AND `+f.db.Among("hash", "$3")+` ORDER BY number`, Class, run.Name, database.List(f.db, hashes))
	if err != nil {
		return err
	}
	for i := range shots {
		for _, s := range now {
			if shots[i].Number == s.Number && shots[i].Turn == s.Turn {
				shots[i] = s
			}
		}
	}
	files, entries, err := f.entries(ctx, shots)
	if err != nil {
		return err
	}
	if err := f.book.Enter(ctx, run.ID, files, entries); err != nil {
		return err
	}
	return f.tally(ctx, run, shots, entries)
}

// tally sums up the photos that shots show, each for as long as one of them counts: the
// sums have a photo once.
func (f *Folder) tally(ctx context.Context, run book.Run, shots []Shot, entries []book.Entry) error {
	settled := map[int64]bool{} // results
	for _, s := range shots {
		if s.State == Measured {
			settled[s.Result] = true
		}
	}
	counts := map[string]bool{} // photos
	var sums []book.Tally
	for _, e := range entries {
		if e.Trainee == "" || e.Refused || !settled[e.Result] || counts[e.Photo] {
			continue
		}
		counts[e.Photo] = true
		sums = append(sums, book.Tally{Kind: string(Class), Name: run.Name, Photo: e.Photo, Result: e.Result, Day: run.HeldOn.Format(time.DateOnly), At: run.HeldOn})
	}
	if err := f.book.SumUp(ctx, sums...); err != nil {
		return err
	}
	var not []string
	for _, s := range shots {
		if !counts[s.Hash] {
			not = append(not, s.Hash)
		}
	}
	return f.book.DropTally(ctx, string(Class), run.Name, not...)
}

// entries are the book's, with the labels on the mats, and the names of all shots.
func (f *Folder) entries(ctx context.Context, shots []Shot) (files []string, out []book.Entry, err error) {
	for _, s := range shots {
		files = append(files, s.shown())
	}
	out = entriesOf(shots)
	labels, err := f.book.Labels(ctx, results(shots))
	for i := range out {
		out[i].Label = labels[out[i].Result]
	}
	return files, out, err
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
			e.Trainee, e.Note = "", phrase.Of("note-copy")
		case last[s.Hash] != s.Number:
			e.Trainee, e.Note = "", phrase.Of("note-again", float64(last[s.Hash]))
		case s.Who == "":
			e.Note = phrase.Of("note-unnamed")
		}
		out = append(out, e)
	}
	return out
}

// shown is a name for people, which no two shots share.
func (s Shot) shown() string { return fmt.Sprintf("%04d %s", s.Number, s.Name) }
