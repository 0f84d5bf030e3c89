package book

import (
	"context"
	"slices"
	"time"

	"netagauge/internal/keep/database"
)

// Tally is what a tray of a class or a line came to, in numbers.
type Tally struct {
	Kind, Name            string // "class" or "line", and which
	Photo                 string // hash of the first photo
	Result                int64
	Day                   string    // YYYY-MM-DD where it was taken
	At                    time.Time // when it was taken; of a class its day
	Good, Slices, Missing int       // within tolerance, with a verdict, without one
	Length, Width, Weight Spread    // mm, mm, g
}

// Spread sums up the values of one measure on a tray, with the aim of the house.
type Spread struct {
	N             int
	Mean, SD, Aim float64
}

const tallyColumns = `kind, name, photo, result_id, day, at, good, slices, missing, length_n, length_mean, length_sd, length_aim, width_n, width_mean, width_sd, width_aim, weight_n, weight_mean, weight_sd, weight_aim`

// KeepTally keeps what trays came to, each another one, in place of what they came to
// before.
func (b *Book) KeepTally(ctx context.Context, all ...Tally) error {
	for some := range slices.Chunk(all, database.AtOnce) {
		if err := b.keepTally(ctx, some); err != nil {
			return b.fail("sum up a tray", err)
		}
	}
	return nil
}

func (b *Book) keepTally(ctx context.Context, all []Tally) error {
	var values []any
	for _, t := range all {
		values = append(values, t.values()...)
	}
	return b.db.Set(ctx, `INSERT INTO tally (`+tallyColumns+`) VALUES `+database.Rows(len(all), len(values)/len(all))+`
		ON CONFLICT (kind, name, photo) DO UPDATE SET result_id = excluded.result_id, day = excluded.day, at = excluded.at, good = excluded.good, slices = excluded.slices, missing = excluded.missing,
		length_n = excluded.length_n, length_mean = excluded.length_mean, length_sd = excluded.length_sd, length_aim = excluded.length_aim,
		width_n = excluded.width_n, width_mean = excluded.width_mean, width_sd = excluded.width_sd, width_aim = excluded.width_aim,
		weight_n = excluded.weight_n, weight_mean = excluded.weight_mean, weight_sd = excluded.weight_sd, weight_aim = excluded.weight_aim`, values...)
}

func (t Tally) values() []any {
	out := []any{t.Kind, t.Name, t.Photo, t.Result, t.Day, t.At.UTC().Format(time.RFC3339), t.Good, t.Slices, t.Missing}
	for _, s := range []Spread{t.Length, t.Width, t.Weight} {
		out = append(out, s.N, s.Mean, s.SD, s.Aim)
	}
	return out
}

// DropTally takes trays out of the sums that count no more.
func (b *Book) DropTally(ctx context.Context, kind, name string, photos ...string) error {
	if len(photos) == 0 {
		return nil
	}
	err := b.db.Set(ctx, `DELETE FROM tally WHERE kind = $1 AND name = $2 AND `+b.db.Among("photo", "$3"), kind, name, database.List(b.db, photos))
	return b.fail("sum up a tray", err)
}

// TalliesOn are those of a day.
func (b *Book) TalliesOn(ctx context.Context, day string) ([]Tally, error) {
	return b.tallies(ctx, `day = $1 ORDER BY kind, name, at, result_id`, day)
}

// TalliesOf are those of one photo.
func (b *Book) TalliesOf(ctx context.Context, photo string) ([]Tally, error) {
	return b.tallies(ctx, `photo = $1 ORDER BY kind, name`, Hashes(photo)[0])
}

// TalliesLast are the last n of a line, in the order of their time.
func (b *Book) TalliesLast(ctx context.Context, line string, n int) ([]Tally, error) {
	out, err := b.tallies(ctx, `kind = 'line' AND name = $1 ORDER BY at DESC, result_id DESC LIMIT $2`, line, n)
	slices.Reverse(out)
	return out, err
}

func (b *Book) tallies(ctx context.Context, where string, args ...any) ([]Tally, error) {
	out, err := database.Each(func(scan database.Row) (t Tally, err error) {
		var at string
		into := []any{&t.Kind, &t.Name, &t.Photo, &t.Result, &t.Day, &at, &t.Good, &t.Slices, &t.Missing}
		for _, s := range []*Spread{&t.Length, &t.Width, &t.Weight} {
			into = append(into, &s.N, &s.Mean, &s.SD, &s.Aim)
		}
		if err := scan(into...); err != nil {
			return t, err
		}
		t.At, err = time.Parse(time.RFC3339, at)
		return t, err
	})(b.db.QueryContext(ctx, `SELECT `+tallyColumns+` FROM tally WHERE `+where, args...))
	return out, b.fail("read the sums", err)
}

// Untallied are the last n spot checks of a line, but for those that are summed up.
func (b *Book) Untallied(ctx context.Context, line string, n int) ([]SpotCheck, error) {
	checks, err := b.SpotChecks(ctx, line, Span{Last: n})
	if err != nil {
		return nil, err
	}
	there, err := b.TalliesLast(ctx, line, n)
	return slices.DeleteFunc(checks, func(c SpotCheck) bool {
		return slices.ContainsFunc(there, func(t Tally) bool { return t.Result == c.Result })
	}), err
}
