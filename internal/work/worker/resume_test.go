package worker

import (
	"bytes"
	"context"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/postgrestest"
)

// A tray that waits and is in no queue, as an old backup or a hand in the tables may leave
// it, is put in, once.
func TestForgottenTrayIsResumed(t *testing.T) {
	server := postgrestest.Own(t)
	p, err := openPlace(t.Context(), server.URL(), t.TempDir())
	fatal.If(t, err)
	t.Cleanup(p.close)
	f, err := p.site(t.Context(), testSite)
	fatal.If(t, err)
	fatal.If(t, f.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()}))
	var sent []intake.Shot
	for i := range 2 {
		s, err := f.Receive(t.Context(), intake.Shot{Owner: "7", Who: "Aoi Test", Kind: intake.Class, Session: "Monday", Ticket: told(), Name: "82"}, bytes.NewReader(padded(sample(t, "tray-laid.jpg"), i)))
		fatal.If(t, err)
		sent = append(sent, s)
	}
	server.Exec(t, `DELETE FROM river.river_job WHERE args ->> 'number' = '1'`)
	for range 2 {
		fatal.If(t, f.Resume(t.Context()))
	}
	server.Exec(t, `DO $$ BEGIN ASSERT (SELECT count(*) FROM river.river_job) = 2, 'jobs'; END $$`)
	measuredAll(t, p, f)
	for _, s := range sent {
		if now, err := f.Shot(t.Context(), s.ID); err != nil || now.State != intake.Measured {
			t.Errorf("%+v, %v", now, err)
		}
	}
}

// measuredAll lets a stub measure until nothing waits.
func measuredAll(t *testing.T, p *place, f *intake.Folder) {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	ended := make(chan error)
	go func() { ended <- p.share(ctx, stub{2}) }()
	for ctx.Err() == nil {
		n, err := f.Waiting(t.Context())
		fatal.If(t, err)
		if n == 0 {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
