package serve

import (
	"context"
	"errors"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

// Whoever balances loads is told whether this server may be sent photos, and what is out
// of reach, in a word; why is for the log.
func TestReady(t *testing.T) {
	s := newSite(t)
	v := s.visitor()
	v.get("/healthz").must(s, http.StatusOK, "ok")
	v.get("/readyz").must(s, http.StatusOK, "record: ok", "photos: ok")
	v.get("/readyz").lacks(s, "workers")

	late := func() { s.server.found.at = time.Time{} }
	s.server.Workers = func(context.Context) error { return errors.New("fork: out of memory at secret address") }
	v.get("/readyz").must(s, http.StatusOK) // asked a moment ago
	late()
	got := v.get("/readyz")
	got.must(s, http.StatusServiceUnavailable, "workers: out of reach", "record: ok")
	got.lacks(s, "secret")
	if !strings.Contains(s.said.String(), "secret address") || !strings.Contains(s.said.String(), "part=workers") {
		t.Errorf("the log says %s", s.said)
	}
	s.said.Reset()
	s.server.Workers = func(context.Context) error { <-t.Context().Done(); return nil } // hears nothing of its own
	late()
	began := time.Now()
	v.get("/readyz").must(s, http.StatusServiceUnavailable, "workers: out of reach")
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("it waited for %v", took)
	}
	s.server.Workers = nil
	late()
	dir := s.folder.Dir()
	fatal.If(t, os.Rename(dir, dir+"-gone"))
	v.get("/readyz").must(s, http.StatusServiceUnavailable, "photos: out of reach")
	v.get("/healthz").must(s, http.StatusOK)
	fatal.If(t, os.Rename(dir+"-gone", dir))
	s.said.Reset()
}

// A request has a name, which its line in the log has, too; the line has no name of a
// person and no secret.
func TestRequestsAreNamed(t *testing.T) {
	e := newEverybody(t)
	a, b := e.aoi.get("/tray").header.Get("X-Request-Id"), e.aoi.get("/tray").header.Get("X-Request-Id")
	if len(a) != 12 || a == b {
		t.Errorf("requests are called %q and %q", a, b)
	}
	e.folder.Book().Close()
	got := e.teacher.get("/people/forget?name=Aoi+Test")
	said := e.said.String()
	e.said.Reset()
	if got.status/100 != 5 || !strings.Contains(said, "request="+got.header.Get("X-Request-Id")) || strings.Contains(said, "Aoi") {
		t.Errorf("%d, and the log says %s", got.status, said)
	}
}
