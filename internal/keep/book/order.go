package book

import (
	"context"
	"encoding/json"

	"netagauge/internal/keep/database"
)

// TellOrder keeps in which order the slices of a tray were cut, by their numbers; none
// for the order in which they are numbered.
func (b *Book) TellOrder(ctx context.Context, photo string, numbers []int, who string) error {
	text, err := json.Marshal(append([]int{}, numbers...))
	if err != nil {
		return err
	}
	_, err = b.db.ExecContext(ctx, `INSERT INTO cut_order (photo_hash, numbers, who, told_at) VALUES ($1, $2, $3, $4)`, Hashes(photo)[0], string(text), who, now())
	return b.fail("keep the order of the slices", err)
}

// Orders are what TellOrder kept last of trays, by the hash of the first photo; one of
// which nobody told it is not among them.
func (b *Book) Orders(ctx context.Context, photos []string) (map[string][]int, error) {
	first := make([]string, len(photos))
	for i, p := range photos {
		first[i] = Hashes(p)[0]
	}
	told, err := database.Pairs[string, string](b.db.QueryContext(ctx, `SELECT photo_hash, numbers FROM cut_order WHERE `+b.db.Among("photo_hash", "$1")+` ORDER BY id`, database.List(b.db, first)))
	out := map[string][]int{}
	for photo, text := range told {
		var numbers []int
		if err := json.Unmarshal([]byte(text), &numbers); err != nil {
			return nil, err
		}
		out[photo] = numbers
	}
	return out, b.fail("read the order of the slices", err)
}
