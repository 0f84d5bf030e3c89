// Package organisation keeps what several sites of one organisation share: which
// there are, what they are called, and who moved from one to another. A site's own record (book, intake, accounts, settings) knows
// nothing of the others. Who owns the organisation, and who was invited where, is in
// accounts of its own (package account).
package organisation

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

//go:embed migrations
var migrations embed.FS

// Site is one kitchen or campus with a record of its own.
type Site struct {
	Name     string
	Original bool // was there before the organisation
	Closed   bool
	Titles   map[string]string // by the tag of the language
}

// Title is what people call the site in a language, else in another one.
func (s Site) Title(language string) string {
	for _, tag := range []string{language, "en", "ja"} {
		if s.Titles[tag] != "" {
			return s.Titles[tag]
		}
	}
	for _, title := range s.Titles {
		return title
	}
	return s.Name
}

// Organisation is opened. Its methods may be called from several goroutines.
type Organisation struct{ db *database.DB }

// File is its name in a backup.
const File = "organisation.sqlite"

// readers is how many look at once.
const readers = 4

// Open opens the organisation's tables at a place and makes them where there are none.
func Open(ctx context.Context, at database.Place) (*Organisation, error) {
	db, err := database.Open(ctx, at, database.Part{Name: "organisation", Migrations: migrations, Readers: readers})
	if err != nil {
		return nil, phrase.Because(database.Plain(err), "in-organisation", at.String())
	}
	return &Organisation{db}, nil
}

// Close closes it.
func (o *Organisation) Close() error { return o.db.Close() }

func fail(what string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", what, database.Plain(err))
}

func now() string { return time.Now().UTC().Format(time.RFC3339) }

// Sites are all, by name.
func (o *Organisation) Sites(ctx context.Context) ([]Site, error) {
	rows, err := o.db.QueryContext(ctx, `SELECT site.name, original, closed_at, coalesce(language, ''), coalesce(title, '') FROM site LEFT JOIN title ON title.site = site.name ORDER BY site.name, language`)
	if err != nil {
		return nil, fail("read the sites", err)
	}
	defer rows.Close()
	var out []Site
	for rows.Next() {
		var s Site
		var closed, language, title string
		if err := rows.Scan(&s.Name, &s.Original, &closed, &language, &title); err != nil {
			return nil, fail("read the sites", err)
		}
		if n := len(out); n == 0 || out[n-1].Name != s.Name {
			s.Closed, s.Titles = closed != "", map[string]string{}
			out = append(out, s)
		}
		if title != "" {
			out[len(out)-1].Titles[language] = title
		}
	}
	return out, fail("read the sites", rows.Err())
}

// Names are in links and cookies, and name the site's record.
var nameForm = regexp.MustCompile(`^[a-z][a-z0-9]{0,30}$`)

// Add makes a site known; its record is made when it is first opened.
func (o *Organisation) Add(ctx context.Context, s Site) error {
	if !nameForm.MatchString(s.Name) {
		return phrase.Wrong("site-name", s.Name)
	}
	if err := checkTitles(s.Titles); err != nil {
		return err
	}
	var twice bool
	err := o.db.In(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `INSERT INTO site (name, original, made_at) VALUES ($1, $2, $3) ON CONFLICT (name) DO NOTHING`, s.Name, oneOf(s.Original), now())
		if err != nil {
			return err
		}
		n, err := done.RowsAffected()
		if twice = n == 0; err != nil || twice {
			return err
		}
		return keepTitles(ctx, tx, s.Name, s.Titles)
	})
	if err == nil && twice {
		return phrase.Wrong("site-twice", s.Name)
	}
	return fail("add a site", err)
}

func oneOf(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

func checkTitles(titles map[string]string) error {
	some := false
	for _, title := range titles {
		some = some || strings.TrimSpace(title) != ""
		if utf8.RuneCountInString(title) > 60 {
			return phrase.Wrong("site-title")
		}
	}
	if !some {
		return phrase.Wrong("site-title")
	}
	return nil
}

func keepTitles(ctx context.Context, tx *sql.Tx, site string, titles map[string]string) error {
	if _, err := tx.ExecContext(ctx, `DELETE FROM title WHERE site = $1`, site); err != nil {
		return err
	}
	for language, title := range titles {
		if title = strings.TrimSpace(title); title == "" {
			continue
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO title (site, language, title) VALUES ($1, $2, $3)`, site, language, title); err != nil {
			return err
		}
	}
	return nil
}

// Call gives a site other titles.
func (o *Organisation) Call(ctx context.Context, site string, titles map[string]string) error {
	if err := checkTitles(titles); err != nil {
		return err
	}
	return fail("name a site", o.db.In(ctx, func(tx *sql.Tx) error { return keepTitles(ctx, tx, site, titles) }))
}

// SetClosed closes a site, whose record stays, or opens it again.
func (o *Organisation) SetClosed(ctx context.Context, site string, closed bool) error {
	at := ""
	if closed {
		at = now()
	}
	_, err := o.db.ExecContext(ctx, `UPDATE site SET closed_at = $1 WHERE name = $2`, at, site)
	return fail("close a site", err)
}
