package serve

import (
	"context"
	"io"
	"net/http"
	"sync"
	"time"
)

// alive answers while the process does.
func alive(w http.ResponseWriter, _ *http.Request) { plain(w, http.StatusOK, "ok\n") }

func plain(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	io.WriteString(w, text)
}

// readyLong is how long record, photos and workers together may take to answer;
// readyKept how long an answer stands: whoever asks, they are not asked more often.
const (
	readyLong = 2 * time.Second
	readyKept = time.Second
)

// ready is what was found last.
type ready struct {
	mu   sync.Mutex
	at   time.Time
	says string
	ok   bool
}

// readyz says whether photos can be taken in and measured here, and what is out of
// reach if not: what is wrong with it is for the log alone.
func (s *Server) readyz(w http.ResponseWriter, r *http.Request) {
	s.found.mu.Lock()
	defer s.found.mu.Unlock()
	if time.Since(s.found.at) > readyKept {
		s.found.says, s.found.ok = s.reach(context.WithoutCancel(r.Context()))
		s.found.at = time.Now()
	}
	status := http.StatusOK
	if !s.found.ok {
		status = http.StatusServiceUnavailable
	}
	plain(w, status, s.found.says)
}

func (s *Server) reach(ctx context.Context) (says string, ok bool) {
	ctx, stop := context.WithTimeout(ctx, readyLong)
	defer stop()
	ok = true
	for _, part := range s.needed() {
		if part.look == nil {
			continue
		}
		err := inTime(ctx, part.look)
		if err != nil {
			s.Log.ErrorContext(ctx, "not ready", "part", part.name, "err", err)
			says, ok = says+part.name+": out of reach\n", false
			continue
		}
		says += part.name + ": ok\n"
	}
	return says, ok
}

// part is what must be in reach.
type part struct {
	name string
	look func(context.Context) error
}

// needed are those of a kitchen, or of an organisation's own pages.
func (s *Server) needed() []part {
	if s.owns() {
		return []part{{"organisation", func(ctx context.Context) error { _, err := s.host.kept.Sites(ctx); return err }}, {"workers", s.Workers}}
	}
	return []part{
		{"record", func(ctx context.Context) error { _, _, err := s.Folder.Oldest(ctx); return err }},
		{"photos", s.Folder.ReachPhotos}, {"workers", s.Workers},
	}
}

// inTime does not wait longer than ctx lasts, whatever look does.
func inTime(ctx context.Context, look func(context.Context) error) error {
	done := make(chan error, 1)
	go func() { done <- look(ctx) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}
