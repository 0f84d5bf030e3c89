package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"netagauge/internal/judge/ticket"
	"strings"

	"netagauge/internal/tell/report"
)

// Piece is what grading needs of a piece: the numbers, verdict and names of the
// faults. Outline, profile, limits and advice are only in the full report.
type Piece struct {
	report.Piece
	At [2]float64 // middle of its outline's box, mat frame, mm
}

func keepPieces(ctx context.Context, tx *sql.Tx, id int64, pieces []report.Piece) error {
	for _, p := range pieces {
		at := Middle(p)
		row := []any{id, p.Number, p.State, at[0], at[1]}
		if p.State == report.PieceMeasured {
			row = append(row, p.Verdict, p.Length, p.LengthU, p.Width, p.WidthU, p.Area, p.AreaU,
				p.Thickness, p.Weight, p.WeightU, p.RiceCover, p.Taper, faultNames(p.Faults))
		} else {
			row = append(row, make([]any, 13)...)
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO piece VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, row...); err != nil {
			return err
		}
	}
	return nil
}

// Middle is the middle of a piece's outline: that of its box, in mm.
func Middle(p report.Piece) [2]float64 {
	if len(p.Outline) == 0 {
		return [2]float64{}
	}
	low, high := p.Outline[0], p.Outline[0]
	for _, q := range p.Outline {
		for i := range q {
			low[i], high[i] = min(low[i], q[i]), max(high[i], q[i])
		}
	}
	return [2]float64{(low[0] + high[0]) / 2, (low[1] + high[1]) / 2}
}

func faultNames(faults []report.Fault) string {
	var names []string
	for _, f := range faults {
		name := f.What
		if f.Unsure {
			name += "?"
		}
		names = append(names, name)
	}
	return strings.Join(names, ",")
}

func faultsFrom(names string) []report.Fault {
	var out []report.Fault
	for name := range strings.SplitSeq(names, ",") {
		if what, unsure := strings.CutSuffix(name, "?"); what != "" {
			out = append(out, report.Fault{What: what, Unsure: unsure})
		}
	}
	return out
}

// Pieces returns the pieces of every photo of a run, by the photo's result.
func (b *Book) Pieces(ctx context.Context, run int64) (map[int64][]Piece, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT p.* FROM piece p
		WHERE p.result_id IN (SELECT result_id FROM entry WHERE run_id = ? AND present = 1) ORDER BY p.result_id, p.number`, run)
	if err != nil {
		return nil, b.fail("read the pieces", err)
	}
	return b.pieces(rows)
}

// PiecesOf returns the pieces of one photo.
func (b *Book) PiecesOf(ctx context.Context, result int64) ([]Piece, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT * FROM piece WHERE result_id = ? ORDER BY number`, result)
	if err != nil {
		return nil, b.fail("read the pieces", err)
	}
	all, err := b.pieces(rows)
	return all[result], err
}

func (b *Book) pieces(rows *sql.Rows) (map[int64][]Piece, error) {
	defer rows.Close()
	out := map[int64][]Piece{}
	for rows.Next() {
		var p Piece
		var id int64
		var verdict, faults sql.NullString
		var n [8]sql.NullFloat64
		err := rows.Scan(&id, &p.Number, &p.State, &p.At[0], &p.At[1], &verdict, &n[0], &n[1], &n[2], &n[3], &n[4], &n[5],
			&p.Thickness, &p.Weight, &p.WeightU, &n[6], &n[7], &faults)
		if err != nil {
			return nil, b.fail("read the pieces", err)
		}
		p.Verdict, p.Faults = report.Verdict(verdict.String), faultsFrom(faults.String)
		p.Length, p.LengthU, p.Width, p.WidthU = n[0].Float64, n[1].Float64, n[2].Float64, n[3].Float64
		p.Area, p.AreaU, p.RiceCover, p.Taper = n[4].Float64, n[5].Float64, n[6].Float64, n[7].Float64
		p.Triangular = strings.Contains(faults.String, "triangular")
		out[id] = append(out[id], p)
	}
	return out, b.fail("read the pieces", rows.Err())
}

// Label is the label on a result's mat; empty when it has none.
func (b *Book) Label(ctx context.Context, result int64) (label string, err error) {
	err = b.db.QueryRowContext(ctx, `SELECT label FROM result WHERE id = ?`, result).Scan(&label)
	return label, b.fail("read a photo", err)
}

// TicketOf returns the ticket of a run.
func (b *Book) TicketOf(ctx context.Context, run int64) (t ticket.Ticket, err error) {
	var text string
	err = b.db.QueryRowContext(ctx, `SELECT a.json FROM run r JOIN asked a ON a.hash = r.asked_hash WHERE r.id = ?`, run).Scan(&text)
	if err == nil {
		err = json.Unmarshal([]byte(text), &t)
	}
	return t, b.fail("read the ticket of a session", err)
}
