package notify

import (
	"context"
	"sync"
)

// Here tells watchers of this process that something changed; a slow one misses none,
// it only sees several as one. The zero value is ready.
type Here struct {
	mu       sync.Mutex
	watchers map[chan struct{}]bool
}

// Tell lets every watcher know.
func (h *Here) Tell() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for w := range h.watchers {
		select {
		case w <- struct{}{}:
		default: // it has one to see yet
		}
	}
}

// Watch returns a channel that gets a value soon after each Tell; several may come as
// one. It is closed when ctx is done.
func (h *Here) Watch(ctx context.Context) <-chan struct{} {
	w := make(chan struct{}, 1)
	h.mu.Lock()
	if h.watchers == nil {
		h.watchers = map[chan struct{}]bool{}
	}
	h.watchers[w] = true
	h.mu.Unlock()
	context.AfterFunc(ctx, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		delete(h.watchers, w)
		close(w)
	})
	return w
}
