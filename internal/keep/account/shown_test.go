package account

import (
	"bytes"
	"sync"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

// What is shown once comes back to who has its address, as what it is, and is gone after
// a while; nobody reads it out of the accounts.
func TestShown(t *testing.T) {
	a, ctx := opened(t), t.Context()
	now := time.Unix(1_800_000_000, 0)
	a.now = func() time.Time { return now }
	secret := []byte("kelp-otter-42")
	at, err := a.Show(ctx, "passcode", "instructor/Mori", secret)
	fatal.If(t, err)
	find := func(kind, owner, address string, want bool) {
		t.Helper()
		what, found, err := a.Shown(ctx, kind, owner, address)
		if err != nil || found != want || found && !bytes.Equal(what, secret) {
			t.Errorf("%s of %s: %q, %v, %v", kind, owner, what, found, err)
		}
	}
	find("passcode", "instructor/Mori", at, true)
	find("passcode", "instructor/Mori", at, true) // loaded anew
	find("links", "instructor/Mori", at, false)
	find("passcode", "instructor/Sato", at, false)
	find("passcode", "instructor/Mori", at+"A", false)
	find("passcode", "instructor/Mori", "", false)
	var sealed []byte
	if err := a.db.QueryRowContext(ctx, `SELECT sealed FROM shown`).Scan(&sealed); err != nil || bytes.Contains(sealed, secret) || len(sealed) < len(secret) {
		t.Errorf("kept is %q, %v", sealed, err)
	}
	now = now.Add(shownLong + time.Second)
	find("passcode", "instructor/Mori", at, false)
	if _, err := a.Show(ctx, "passcode", "instructor/Mori", secret); err != nil {
		t.Fatal(err)
	}
	var n int
	if err := a.db.QueryRowContext(ctx, `SELECT count(*) FROM shown`).Scan(&n); err != nil || n != 1 {
		t.Errorf("%d are kept, %v", n, err)
	}
}

// What was tried in vain adds up, wherever, is forgiven with time and never more than the
// most; what is tried at once is counted each.
func TestTried(t *testing.T) {
	a, ctx := opened(t), t.Context()
	now := time.Unix(1_800_000_000, 0)
	a.now = func() time.Time { return now }
	owed := func(what, who string, want time.Duration) {
		t.Helper()
		if got, err := a.Owed(ctx, what, who); err != nil || got != want {
			t.Errorf("%s owes %v, want %v; %v", who, got, want, err)
		}
	}
	owe := func(who string) {
		if err := a.Owe(ctx, "passcode", who, 10*time.Second, 100*time.Second); err != nil {
			t.Error(err)
		}
	}
	owed("passcode", "192.0.2.7", 0)
	owe("192.0.2.7")
	owe("192.0.2.7")
	owed("passcode", "192.0.2.7", 20*time.Second)
	owed("class code", "192.0.2.7", 0)
	owed("passcode", "192.0.2.8", 0)
	now = now.Add(15 * time.Second)
	owed("passcode", "192.0.2.7", 5*time.Second)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() { owe("192.0.2.9") })
	}
	all.Wait()
	owed("passcode", "192.0.2.9", 80*time.Second)
	for range 5 {
		owe("192.0.2.9")
	}
	owed("passcode", "192.0.2.9", 100*time.Second)
	now = now.Add(6 * time.Second)
	owed("passcode", "192.0.2.7", 0) // what was forgiven is no credit
	owe("192.0.2.7")
	owed("passcode", "192.0.2.7", 10*time.Second)
}
