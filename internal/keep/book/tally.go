package book

import (
	"context"
	"slices"
	"strings"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
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
	Of                    map[*piece.Measure]Spread
}

// Spread sums up the values of one measure on a tray, in the measure's unit, with the aim
// of the house.
type Spread struct {
	evidence.Spread
	Aim float64
}

// Tallied are the measures that trays are summed up by: those of the hand, and the weight.
var Tallied = []*piece.Measure{piece.Length, piece.Width, piece.Weight, piece.Thickness, piece.Skew}

// tallyColumns are those of a Tally, in the order of its values.
var tallyColumns = func() []string {
	out := []string{"kind", "name", "photo", "result_id", "day", "at", "good", "slices", "missing"}
	for _, m := range Tallied {
		out = append(out, m.Key+"_n", m.Key+"_mean", m.Key+"_sd", m.Key+"_aim")
	}
	return out
}()

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
	var set []string
	for _, c := range tallyColumns[3:] {
		set = append(set, c+" = excluded."+c)
	}
	return b.db.Set(ctx, `INSERT INTO tally (`+strings.Join(tallyColumns, ", ")+`) VALUES `+database.Rows(len(all), len(tallyColumns))+`
		ON CONFLICT (kind, name, photo) DO UPDATE SET `+strings.Join(set, ", "), values...)
}

func (t Tally) values() []any {
	out := []any{t.Kind, t.Name, t.Photo, t.Result, t.Day, t.At.UTC().Format(time.RFC3339), t.Good, t.Slices, t.Missing}
	for _, m := range Tallied {
		s := t.Of[m]
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
		spreads := make([]Spread, len(Tallied))
		for i := range spreads {
			s := &spreads[i]
			into = append(into, &s.N, &s.Mean, &s.SD, &s.Aim)
		}
		if err := scan(into...); err != nil {
			return t, err
		}
		t.Of = map[*piece.Measure]Spread{}
		for i, m := range Tallied {
			t.Of[m] = spreads[i]
		}
		t.At, err = time.Parse(time.RFC3339, at)
		return t, err
	})(b.db.QueryContext(ctx, `SELECT `+strings.Join(tallyColumns, ", ")+` FROM tally WHERE `+where, args...))
	return out, b.fail("read the sums", err)
}

// Sums are what trays came to, of which is told where they count and which result they
// have: as kept, or summed up from their reports where that is not, as of a tray that was
// kept before all of its measures were summed up, or that counts for nobody.
func (b *Book) Sums(ctx context.Context, trays []Tally) ([]Tally, error) {
	photos := make([]string, len(trays))
	for i, t := range trays {
		photos[i] = Hashes(t.Photo)[0]
	}
	kept, err := b.tallies(ctx, b.db.Among("photo", "$1")+` AND thickness_n >= 0 ORDER BY kind, name, photo`, database.List(b.db, photos))
	if err != nil {
		return nil, err
	}
	out := slices.Clone(trays)
	var missing []int
	for i, t := range trays {
		j := slices.IndexFunc(kept, func(k Tally) bool {
			return k.Kind == t.Kind && k.Name == t.Name && k.Photo == photos[i] && k.Result == t.Result
		})
		if j < 0 {
			missing = append(missing, i)
		} else {
			out[i] = kept[j]
		}
	}
	anew := make([]Tally, len(missing))
	for j, i := range missing {
		anew[j] = trays[i]
	}
	for some := range slices.Chunk(anew, atOnce) {
		if err := b.reckon(ctx, some); err != nil {
			return nil, err
		}
	}
	for j, i := range missing {
		out[i] = anew[j]
	}
	return out, nil
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
