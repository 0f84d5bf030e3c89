package account

import (
	"errors"
	"testing"

	"netagauge/internal/core/fatal"
)

func TestRecognise(t *testing.T) {
	ctx, a := t.Context(), opened(t)
	const op = "https://id.example"
	for known, p := range map[string]Place{"Mori@School.example": {Role: Instructor, Who: "Mori"}, "subject-7": {Role: Trainee, Who: "Aoi"}} {
		fatal.If(t, a.Invite(ctx, known, op, p))
	}
	fatal.If(t, a.Invite(ctx, "mori@school.example", op, Place{Site: "osaka", Role: Chef, Who: "Mori"}))
	for _, c := range []struct {
		name   string
		who    Identity
		places int
		want   error
	}{
		{"nobody invited", Identity{op, "1", "x@y.example", true}, 0, ErrUninvited},
		{"an invited e-mail, not verified", Identity{op, "2", "mori@school.example", false}, 0, ErrUnverified},
		{"an e-mail that nobody invited, not verified", Identity{op, "2", "x@y.example", false}, 0, ErrUnverified},
		{"by subject", Identity{op, "subject-7", "", false}, 1, nil},
		{"by another provider's subject", Identity{"https://other.example", "subject-7", "", false}, 0, ErrUninvited},
		{"by e-mail", Identity{op, "3", "mori@school.example", true}, 2, nil},
		{"the same later, by subject alone", Identity{op, "3", "changed@school.example", false}, 2, nil},
		{"another subject with the e-mail", Identity{op, "4", "mori@school.example", true}, 0, ErrUninvited},
		{"no subject", Identity{op, "", "", false}, 0, ErrUninvited},
	} {
		places, err := a.Recognise(ctx, c.who)
		if len(places) != c.places || !errors.Is(err, c.want) && err != c.want {
			t.Errorf("%s: %v, %v; want %d places, %v", c.name, places, err, c.places, c.want)
		}
	}
}

func TestUninvite(t *testing.T) {
	ctx, a := t.Context(), opened(t)
	fatal.If(t, a.Invite(ctx, "a@b.example", "", Place{Role: Chef, Who: "C"}))
	for _, p := range []Place{{Role: "owner", Who: "C"}, {Role: Chef, Who: " "}} {
		if err := a.Invite(ctx, "a@b.example", "", p); err == nil {
			t.Errorf("%+v was invited", p)
		}
	}
	places, err := a.Recognise(ctx, Identity{"op", "1", "a@b.example", true})
	fatal.If(t, err)
	in, token, err := a.Admit(ctx, places[0])
	if err != nil || in.Role != Chef || in.Expires.Sub(a.now()) > dayLong {
		t.Fatalf("%+v, %v", in, err)
	}
	people, err := a.PeopleAt(ctx, "")
	if err != nil || len(people) != 1 || people[0].Subject != "1" {
		t.Fatalf("%+v, %v", people, err)
	}
	if none, err := a.PeopleAt(ctx, "osaka"); err != nil || len(none) != 0 {
		t.Errorf("at another site: %+v, %v", none, err)
	}
	for _, other := range []Place{{Site: "osaka", Role: Chef}, {Role: Instructor}} {
		if _, found, err := a.Uninvite(ctx, people[0].ID, other.Site, other.Role); found || err != nil {
			t.Errorf("uninvited from %+v: %v, %v", other, found, err)
		}
	}
	p, found, err := a.Uninvite(ctx, people[0].ID, "", Chef)
	if err != nil || !found || p.Who != "C" {
		t.Fatalf("%+v, %v, %v", p, found, err)
	}
	fatal.If(t, a.End(ctx, p.Role, p.Who))
	if _, found, _ := a.Session(ctx, token); found {
		t.Error("somebody uninvited is still signed in")
	}
	if _, found, err := a.Uninvite(ctx, people[0].ID, "", Chef); found || err != nil {
		t.Errorf("once more: %v, %v", found, err)
	}
	if all, err := a.People(ctx); err != nil || len(all) != 0 {
		t.Errorf("%+v, %v", all, err)
	}
}

// A trainee's move and an end of a role leave others of the name as they are.
func TestNamesakesStay(t *testing.T) {
	ctx, a := t.Context(), opened(t)
	for known, p := range map[string]Place{"bo@a.example": {"kyoto", Trainee, "Bo"}, "teacher@a.example": {"kyoto", Instructor, "Bo"}} {
		fatal.If(t, a.Invite(ctx, known, "", p))
	}
	fatal.If(t, a.MovePlace(ctx, "kyoto", "osaka", "Bo"))
	for site, want := range map[string]string{"kyoto": "teacher@a.example", "osaka": "bo@a.example"} {
		if people, err := a.PeopleAt(ctx, site); err != nil || len(people) != 1 || people[0].Email != want {
			t.Errorf("at %s: %+v, %v", site, people, err)
		}
	}
	fatal.If(t, a.ForgetAt(ctx, "osaka", "Bo"))
	var placeless int
	err := a.db.QueryRowContext(ctx, `SELECT count(*) FROM person WHERE email = 'bo@a.example'`).Scan(&placeless)
	if err != nil || placeless > 0 {
		t.Errorf("who has no place left is still known: %d, %v", placeless, err)
	}
	if people, err := a.People(ctx); err != nil || len(people) != 1 || people[0].Email != "teacher@a.example" {
		t.Errorf("of two of a name, one of whom is deleted: %+v, %v", people, err)
	}
	_, chef, err := a.Admit(ctx, Place{Role: Chef, Who: "Bo"})
	fatal.If(t, err)
	_, teacher, err := a.Admit(ctx, Place{Role: Instructor, Who: "Bo"})
	fatal.If(t, err)
	fatal.If(t, a.End(ctx, Chef, "Bo"))
	if _, found, err := a.Session(ctx, chef); found || err != nil {
		t.Errorf("the chef is still signed in, %v", err)
	}
	if _, found, err := a.Session(ctx, teacher); !found || err != nil {
		t.Errorf("the teacher was signed out, too, %v", err)
	}
}
