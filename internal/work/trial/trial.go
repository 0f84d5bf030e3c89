package trial

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"math"
	"path/filepath"
	"strings"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coverage"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/see/photo"
	"netagauge/internal/work/inspect"
)

// Tray is a photo with its truth and, where there is one beside it, a second photo
// of the same tray.
type Tray struct {
	name          string
	first, second inspect.Photo
	truth         truth
}

// Photos are the photos of a folder that have their truth beside them.
func Photos(dir string) ([]string, error) {
	found, err := filepath.Glob(filepath.Join(dir, "*"+truthEnd))
	if err != nil {
		return nil, err
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%s: no NAME.jpg with a NAME%s beside it lies here", dir, truthEnd)
	}
	for i, f := range found {
		found[i] = strings.TrimSuffix(f, truthEnd) + ".jpg"
	}
	return found, nil
}

// Read reads a photo, its truth, and a second photo NAME.b.jpg beside it.
func Read(path string) (Tray, error) {
	stem := strings.TrimSuffix(path, ".jpg")
	t := Tray{name: filepath.Base(stem)}
	var err error
	if t.truth, err = readTruth(stem + truthEnd); err != nil {
		return t, err
	}
	if t.first, err = read(path); err != nil {
		return t, err
	}
	t.second, err = read(stem + ".b.jpg")
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return t, err
}

func read(path string) (inspect.Photo, error) {
	data, err := photo.Read(path)
	return inspect.Photo{Name: filepath.Base(path), Data: data}, err
}

// Residuals measures the tray as kitchens would: by one photo with nothing told,
// with the thickness of each slice, and with its lay angle too; and by both photos
// with the density alone. A tray that is refused has none.
func (t Tray) Residuals(ctx context.Context) ([]coverage.Residual, error) {
	bare, err := t.measure(ctx, inspect.Photo{}, ticket.Ticket{})
	if err != nil || len(bare.MeasuredPieces()) == 0 {
		return nil, err
	}
	thick := ticket.Ticket{Density: t.truth.density(), Thickness: t.truth.told(bare, Slice.thickness)}
	laid := thick
	laid.LayAngle = t.truth.told(bare, Slice.layAngle)
	trays := []piece.Tray{bare}
	for _, told := range []ticket.Ticket{thick, laid} {
		r, err := t.measure(ctx, inspect.Photo{}, told)
		if err != nil {
			return nil, err
		}
		trays = append(trays, r)
	}
	var out []coverage.Residual
	for i, r := range trays {
		for _, x := range t.residuals(r) {
			if x.Group.Measure == piece.Weight || i == t.turn() {
				out = append(out, x)
			}
		}
	}
	if t.second.Data == nil {
		return out, nil
	}
	both, err := t.measure(ctx, t.second, ticket.Ticket{Density: thick.Density})
	for _, x := range t.residuals(both) {
		if x.Group.Two() {
			out = append(out, x)
		}
	}
	return out, err
}

// turn is which of the three tickets stands for this tray where a group takes them
// all: a slice counts once in a group, so trays take turns, by their names.
func (t Tray) turn() int {
	h := fnv.New32a()
	h.Write([]byte(t.name)) // never fails
	return int(h.Sum32() % 3)
}

func (t Tray) measure(ctx context.Context, second inspect.Photo, told ticket.Ticket) (piece.Tray, error) {
	told.Standard = standard.Default()
	res, err := inspect.Tray(ctx, inspect.Photos{First: t.first, Second: second}, told)
	if err != nil {
		err = fmt.Errorf("%s: %w", t.name, err)
	}
	return res.Report, err
}

// residuals are those of a report's slices that lie by themselves.
func (t Tray) residuals(r piece.Tray) []coverage.Residual {
	var out []coverage.Residual
	for _, p := range r.MeasuredPieces() {
		s := t.truth.of(p)
		if s == nil {
			continue
		}
		for _, m := range []struct {
			measure *piece.Measure
			truth   float64
		}{{piece.Length, s.size.Length}, {piece.Width, s.size.Width}, {piece.Area, s.size.Area}, {piece.Weight, s.Mass}} {
			v := *m.measure.Of(&p)
			g, ok := coverage.GroupOf(m.measure, p.Seen)
			if !ok || !v.Counts() {
				continue
			}
			x := coverage.Residual{Tray: t.name, Slice: p.Number, Group: g, Error: v.X - m.truth, Seen: v.U}
			switch m.measure {
			case piece.Weight:
				x.Told, x.Seen = weight.Parts(p.WeightBudget, p.Seen)
			case piece.Width:
				x.Told = p.Seen.KobaMM
				x.Seen = without(v.U, x.Told)
			case piece.Area:
				x.Told = p.Seen.KobaMM * p.Length.X
				x.Seen = without(v.U, x.Told)
			}
			x.Seen /= coverage.Measured().Of(m.measure, p.Seen) // as the linear budget has it
			out = append(out, x)
		}
	}
	return out
}

// without is what is left of a sum of squares.
func without(all, part float64) float64 { return math.Sqrt(math.Max(0, all*all-part*part)) }
