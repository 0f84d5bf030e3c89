package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"

	"github.com/pressly/goose/v3"

	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/keep/database"
)

// ticketStep is the migration after which every row of asked, today ticket, holds one:
// before, what class and line had been told was kept as a sentence. The hash of
// such a row stays that of what it was.
func ticketStep(version int64) *goose.Migration {
	return goose.NewGoMigration(version, &goose.GoFunc{RunTx: rewriteTickets}, nil)
}

// sentenceTicket is a ticket as class and line kept it: in Matter's words.
type sentenceTicket struct {
	ticket.Ticket
	Group, Matter string
}

func rewriteTickets(ctx context.Context, tx *sql.Tx) error {
	made := map[string]string{}
	err := database.Every(func(scan database.Row) error {
		var hash, text string
		var old sentenceTicket
		if err := scan(&hash, &text); err != nil {
			return err
		}
		if err := json.Unmarshal([]byte(text), &old); err != nil {
			return fmt.Errorf("%s: %w", hash, err)
		}
		now, err := json.Marshal(old.parsed())
		if err != nil {
			return err
		}
		made[hash] = string(now)
		return nil
	})(tx.QueryContext(ctx, `SELECT hash, json FROM asked WHERE json_type(json, '$.Matter') = 'text'`))
	if err != nil {
		return err
	}
	for hash, text := range made {
		if _, err := tx.ExecContext(ctx, `UPDATE asked SET json = $1 WHERE hash = $2`, text, hash); err != nil {
			return err
		}
	}
	return nil
}

// parsed takes the sentence apart. Of a profile and of a kitchen's own species
// only the names are known.
func (o sentenceTicket) parsed() ticket.Ticket {
	t := o.Ticket
	for part := range strings.SplitSeq(o.Matter, ", ") {
		for _, x := range []struct {
			name, unit string
			to         *string
		}{
			{"thickness ", " mm", &t.Thickness}, {"density ", " g/cm³", &t.Density}, {"lay angle ", "°", &t.LayAngle},
			{"knife step ", " mm", &t.Pitch}, {"temperature ", " °C", &t.Temperature},
		} {
			if value, found := strings.CutPrefix(part, x.name); found {
				*x.to = strings.TrimSuffix(value, x.unit)
			}
		}
		if file, found := strings.CutPrefix(part, "profile "); found {
			t.Profile = &weight.Profile{Species: t.Species, Cutter: file}
		}
	}
	if _, err := weight.BuiltIn().Find(t.Species); err != nil && t.Species != "" {
		t.OwnSpecies = weight.Table{{Name: t.Species, Group: o.Group}}
	}
	return t
}
