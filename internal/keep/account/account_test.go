package account

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/argon2"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/enginetest"
)

func TestMain(m *testing.M) { enginetest.Main(m) }

func opened(t *testing.T) *Accounts {
	t.Helper()
	a, err := OpenAt(context.Background(), enginetest.Place(t))
	fatal.If(t, err)
	t.Cleanup(func() { a.Close() })
	return a
}

// The library computes what Argon2's reference program prints for argon2id with
// two passes over 64 MiB and one lane (README of phc-winner-argon2, test.c:
// hashtest(version, 2, 16, 1, "password", "somesalt", ..., Argon2_id)).
func TestArgonIsTheReferences(t *testing.T) {
	got := hex.EncodeToString(argon2.IDKey([]byte("password"), []byte("somesalt"), 2, 1<<16, 1, 32))
	if want := "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7"; got != want {
		t.Errorf("tag %s, want %s", got, want)
	}
}

func TestSignIn(t *testing.T) {
	ctx, a := context.Background(), opened(t)
	code, err := a.AddPasscode(ctx, Instructor, " Teacher ")
	fatal.If(t, err)
	for typed, want := range map[string]bool{
		code: true, strings.ToUpper(code): true, strings.ReplaceAll(code, "-", " "): true,
		code[:len(code)-1]: false, "": false, code + "x": false,
	} {
		_, token, err := a.SignIn(ctx, "Teacher", typed)
		if want != (err == nil) {
			t.Errorf("passcode %q for %q: %v", typed, code, err)
		}
		if !want && (!errors.Is(err, ErrWrong) || token != "") {
			t.Errorf("a wrong passcode gave %v and the token %q", err, token)
		}
	}
	if _, _, err := a.SignIn(ctx, "Nobody", code); !errors.Is(err, ErrWrong) {
		t.Errorf("another name with the passcode: %v", err)
	}
	if _, err := a.AddPasscode(ctx, Chef, "Teacher"); err == nil {
		t.Error("one name got two passcodes")
	}
	if _, err := a.AddPasscode(ctx, Trainee, "T"); err == nil {
		t.Error("a trainee got a passcode")
	}
}

// What is on the disk opens nothing.
func TestNoSecretIsKept(t *testing.T) {
	ctx, a := context.Background(), opened(t)
	code, _ := a.AddPasscode(ctx, Chef, "C")
	link, _ := a.NewLink(ctx, "Aoi")
	_, token, err := a.Follow(ctx, link)
	fatal.If(t, err)
	for _, table := range []string{"passcode", "link", "browser"} {
		rows, err := a.db.QueryContext(t.Context(), "SELECT * FROM "+table)
		fatal.If(t, err)
		columns, _ := rows.Columns()
		for rows.Next() {
			values, at := make([]any, len(columns)), make([]any, len(columns))
			for i := range values {
				at[i] = &values[i]
			}
			fatal.If(t, rows.Scan(at...))
			for _, secret := range []string{code, plainCode(code), link, token} {
				if strings.Contains(fmt.Sprintf("%s", values), secret) {
					t.Errorf("table %s holds a secret as it is", table)
				}
			}
		}
		rows.Close()
	}
}

func TestSessions(t *testing.T) {
	ctx, a := context.Background(), opened(t)
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	a.now = func() time.Time { return now }
	link, err := a.NewLink(ctx, "Aoi")
	fatal.If(t, err)
	own, token, err := a.Follow(ctx, link)
	if err != nil || own.Who != "Aoi" || own.Role != Trainee || own.Limited {
		t.Fatalf("a link gave %+v, %v", own, err)
	}
	code, _ := a.ClassCode(ctx)
	if _, _, err := a.Join(ctx, " "+strings.ReplaceAll(code, " ", "")+" ", "Aoi", Session{}); !errors.Is(err, ErrTaken) {
		t.Errorf("another phone took a name that is in use: %v", err)
	}
	limited, joined, err := a.Join(ctx, " "+strings.ReplaceAll(code, " ", "")+" ", "Aoi", own) // the same phone
	if err != nil || !limited.Limited {
		t.Fatalf("the class code gave %+v, %v", limited, err)
	}
	there := func(token string) bool {
		t.Helper()
		_, found, err := a.Session(ctx, token)
		fatal.If(t, err)
		return found
	}
	if !there(token) || !there(joined) || there("") || there(token+"x") {
		t.Error("sessions are not those that were begun")
	}
	now = now.Add(15 * time.Hour)
	if !there(token) || there(joined) {
		t.Error("a session by class code lasts a day in class, one by link longer")
	}
	now = now.Add(30 * 24 * time.Hour)
	if there(token) {
		t.Error("a session by link lasts a month")
	}
	now = now.Add(-30 * 24 * time.Hour)
	if err := a.SignOut(ctx, own); err != nil || there(token) {
		t.Errorf("signed out, and still in: %v", err)
	}
}

func TestNewSecretsPutOldOnesOut(t *testing.T) {
	ctx, a := context.Background(), opened(t)
	old, _ := a.NewLink(ctx, "Aoi")
	_, session, _ := a.Follow(ctx, old)
	other, _ := a.NewLink(ctx, "Bo")
	_, theirs, _ := a.Follow(ctx, other)
	if _, err := a.NewLink(ctx, "Aoi"); err != nil {
		t.Fatal(err)
	}
	if _, _, err := a.Follow(ctx, old); !errors.Is(err, ErrWrong) {
		t.Errorf("the old link still opens: %v", err)
	}
	if _, found, _ := a.Session(ctx, session); found {
		t.Error("who came in by the old link is still in")
	}
	if _, found, _ := a.Session(ctx, theirs); !found {
		t.Error("somebody else was signed out")
	}
	fatal.If(t, a.KeepOnly(ctx, []string{"Aoi"}))
	if _, found, _ := a.Session(ctx, theirs); found {
		t.Error("who came in by a removed link is still in")
	}
	if _, _, err := a.Follow(ctx, other); !errors.Is(err, ErrWrong) {
		t.Errorf("a removed link still opens: %v", err)
	}
	code, _ := a.ClassCode(ctx)
	_, joined, _ := a.Join(ctx, code, "Bo", Session{})
	if fresh, err := a.NewClassCode(ctx); err != nil || fresh == code {
		t.Fatalf("new class code %q after %q: %v", fresh, code, err)
	}
	if _, found, _ := a.Session(ctx, joined); found {
		t.Error("who came in by the old class code is still in")
	}
	if err := a.CheckClassCode(ctx, code); !errors.Is(err, ErrWrong) {
		t.Errorf("the old class code still opens: %v", err)
	}
}

func TestRemovePasscode(t *testing.T) {
	ctx, a := context.Background(), opened(t)
	a.AddPasscode(ctx, Instructor, "Teacher")
	code, _ := a.AddPasscode(ctx, Chef, "Chef")
	_, token, err := a.SignIn(ctx, "Chef", code)
	fatal.If(t, err)
	all, _ := a.Passcodes(ctx)
	var undo Removed
	for _, p := range all {
		gone, err := a.RemovePasscode(ctx, p.ID)
		if (err == nil) != (p.Role == Chef) {
			t.Errorf("removing the passcode of %s: %v", p.Name, err)
		}
		if err == nil {
			undo = gone
		}
	}
	if _, found, _ := a.Session(ctx, token); found {
		t.Error("who came in by a removed passcode is still in")
	}
	if _, _, err := a.SignIn(ctx, "Chef", code); !errors.Is(err, ErrWrong) {
		t.Errorf("a removed passcode still opens: %v", err)
	}
	if err := a.RestorePasscode(ctx, undo); err != nil {
		t.Error(err)
	}
	if _, _, err := a.SignIn(ctx, "Chef", code); err != nil {
		t.Errorf("a passcode that was brought back: %v", err)
	}
	if err := a.RestorePasscode(ctx, undo); err == nil {
		t.Error("it was brought back twice")
	}
}

// A link ends after half a year.
func TestLinkEnds(t *testing.T) {
	ctx, a := t.Context(), opened(t)
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	a.now = func() time.Time { return now }
	link, err := a.NewLink(ctx, "Aoi")
	fatal.If(t, err)
	now = now.Add(LinkLong - time.Hour)
	if name, err := a.LinkOf(ctx, link); err != nil || name != "Aoi" {
		t.Errorf("on the last day: %q, %v", name, err)
	}
	now = now.Add(2 * time.Hour)
	if _, _, err := a.Follow(ctx, link); !errors.Is(err, ErrWrong) {
		t.Errorf("after its end: %v", err)
	}
}
