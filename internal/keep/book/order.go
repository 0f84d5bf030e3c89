package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
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

// Order is what TellOrder kept last of a tray; told is false where nobody told it.
func (b *Book) Order(ctx context.Context, photo string) (numbers []int, told bool, err error) {
	var text string
	err = b.db.QueryRowContext(ctx, `SELECT numbers FROM cut_order WHERE photo_hash = $1 ORDER BY id DESC LIMIT 1`, Hashes(photo)[0]).Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	if err == nil {
		err = json.Unmarshal([]byte(text), &numbers)
	}
	return numbers, err == nil, b.fail("read the order of the slices", err)
}
