package account

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// Identity is who signed in at an OpenID provider, as the provider says.
type Identity struct {
	Issuer, Subject string
	Email           string // lower case
	Verified        bool   // the provider has made sure that the e-mail is the person's
}

// Place is what somebody is, and where.
type Place struct {
	Site string // empty for that of these accounts
	Role Role
	Who  string
}

// Person is somebody who may sign in by a provider.
type Person struct {
	ID      int64
	Email   string
	Subject string // empty before the first sign-in
	Places  []Place
}

// Who may not come in, and why.
var (
	ErrUnverified = phrase.Wrong("openid-unverified")
	ErrUninvited  = phrase.Wrong("openid-uninvited")
)

// Invite lets a person sign in at a place. With an at sign, known is an e-mail address;
// else it is the provider's subject, and issuer that provider.
func (a *Accounts) Invite(ctx context.Context, known, issuer string, p Place) error {
	known, p.Who = strings.TrimSpace(known), strings.TrimSpace(p.Who)
	if known == "" || len(known) > 255 || p.Who == "" || utf8.RuneCountInString(p.Who) > 60 || !slices.Contains([]Role{Trainee, Instructor, Chef}, p.Role) {
		return phrase.Wrong("invite-needs")
	}
	email, subject := "", known
	if strings.Contains(known, "@") {
		email, subject, issuer = strings.ToLower(known), "", ""
	}
	return a.in(ctx, "invite", func(tx *sql.Tx) error {
		var id int64
		err := tx.QueryRowContext(ctx, `SELECT id FROM person WHERE email = $1 AND email <> '' OR issuer = $2 AND subject = $3 AND subject <> ''`, email, issuer, subject).Scan(&id)
		if errors.Is(err, sql.ErrNoRows) {
			err = tx.QueryRowContext(ctx, `INSERT INTO person (email, issuer, subject, invited_at) VALUES ($1, $2, $3, $4) RETURNING id`,
				email, issuer, subject, a.now().UTC().Format(time.RFC3339)).Scan(&id)
		}
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO place (person_id, site, role, who) VALUES ($1, $2, $3, $4) ON CONFLICT (person_id, site, role) DO UPDATE SET who = excluded.who`,
			id, p.Site, p.Role, p.Who)
		return err
	})
}

// Recognise tells where somebody may come in, or gives ErrUnverified or ErrUninvited.
// An e-mail that the provider has not verified opens nothing, invited or not: anybody
// could have typed it there.
func (a *Accounts) Recognise(ctx context.Context, who Identity) ([]Place, error) {
	id, err := a.known(ctx, who)
	switch {
	case errors.Is(err, sql.ErrNoRows) && who.Email != "" && !who.Verified:
		return nil, ErrUnverified
	case errors.Is(err, sql.ErrNoRows):
		return nil, ErrUninvited
	case err != nil:
		return nil, a.fail("look for the person", err)
	}
	people, err := a.people(ctx, `person.id = $1`, id)
	if err == nil && len(people) == 0 {
		err = ErrUninvited
	}
	if err != nil {
		return nil, err
	}
	return people[0].Places, nil
}

// known is the person's row, by the subject, or by a verified e-mail that no subject
// has been seen with: it is that subject's from now on.
func (a *Accounts) known(ctx context.Context, who Identity) (id int64, err error) {
	err = a.db.QueryRowContext(ctx, `SELECT id FROM person WHERE issuer = $1 AND subject = $2`, who.Issuer, who.Subject).Scan(&id)
	if !errors.Is(err, sql.ErrNoRows) || !who.Verified || who.Email == "" || who.Subject == "" {
		return id, err
	}
	return a.db.Add(ctx, `UPDATE person SET issuer = $1, subject = $2 WHERE email = $3 AND subject = '' RETURNING id`, who.Issuer, who.Subject, who.Email)
}

// PeopleAt are those who may sign in at a site by a provider; People are all.
func (a *Accounts) PeopleAt(ctx context.Context, site string) ([]Person, error) {
	return a.people(ctx, `place.site = $1`, site)
}

// People are all who may sign in by a provider.
func (a *Accounts) People(ctx context.Context) ([]Person, error) {
	return a.people(ctx, `person.id > $1`, 0)
}

func (a *Accounts) people(ctx context.Context, where string, arg any) ([]Person, error) {
	var out []Person
	err := database.Every(func(scan database.Row) error {
		var x Person
		var p Place
		err := scan(&x.ID, &x.Email, &x.Subject, &p.Site, &p.Role, &p.Who)
		if n := len(out); n == 0 || out[n-1].ID != x.ID {
			out = append(out, x)
		}
		last := &out[len(out)-1]
		last.Places = append(last.Places, p)
		return err
	})(a.db.QueryContext(ctx, `SELECT person.id, email, subject, site, role, who FROM person JOIN place ON place.person_id = person.id
		WHERE `+where+` ORDER BY person.id, site, role`, arg))
	return out, a.fail("read who is invited", err)
}

// Uninvite takes a place back, and forgets somebody who has none left. It tells whose
// it was; found is false where there is no such place.
func (a *Accounts) Uninvite(ctx context.Context, person int64, site string, role Role) (p Place, found bool, err error) {
	p = Place{Site: site, Role: role}
	err = a.db.In(ctx, func(tx *sql.Tx) error {
		if err := tx.QueryRowContext(ctx, `DELETE FROM place WHERE person_id = $1 AND site = $2 AND role = $3 RETURNING who`, person, site, role).Scan(&p.Who); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM person WHERE id = $1 AND NOT EXISTS (SELECT 1 FROM place WHERE person_id = person.id)`, person)
		return err
	})
	if errors.Is(err, sql.ErrNoRows) {
		return Place{}, false, nil
	}
	return p, err == nil, a.fail("take the invitation back", err)
}

// ForgetAt takes back what a trainee of a site was invited to there, and forgets a
// person who has no place left. Done again it finds nothing more.
func (a *Accounts) ForgetAt(ctx context.Context, site, trainee string) error {
	return a.forget(ctx, []any{site, trainee}, `DELETE FROM place WHERE site = $1 AND role = 'trainee' AND who = $2`)
}

// placeless deletes those who may not come in anywhere.
const placeless = `DELETE FROM person WHERE NOT EXISTS (SELECT 1 FROM place WHERE place.person_id = person.id)`

// MovePlace has a trainee who signs in by a provider do so at another site.
func (a *Accounts) MovePlace(ctx context.Context, from, to, who string) error {
	_, err := a.db.ExecContext(ctx, `UPDATE place SET site = $1 WHERE site = $2 AND role = 'trainee' AND who = $3
		AND NOT EXISTS (SELECT 1 FROM place there WHERE there.person_id = place.person_id AND there.site = $1 AND there.role = 'trainee')`, to, from, who)
	return a.fail("move", err)
}

// Admit opens a session for somebody whom a provider has vouched for.
func (a *Accounts) Admit(ctx context.Context, p Place) (Session, string, error) {
	return a.begin(ctx, Session{Role: p.Role, Who: p.Who, vouched: true}, nil)
}

// End signs somebody out of every browser.
func (a *Accounts) End(ctx context.Context, role Role, who string) error {
	_, err := a.db.ExecContext(ctx, `DELETE FROM browser WHERE role = $1 AND who = $2`, role, who)
	return a.fail("sign out", err)
}
