package intake

import (
	"context"
	"sync"
)

// changes tells watchers that something changed; a slow one misses none, it
// only sees several as one.
type changes struct {
	mu       sync.Mutex
	watchers map[chan struct{}]bool
}

func (c *changes) tell() {
	c.mu.Lock()
	defer c.mu.Unlock()
	for w := range c.watchers {
		select {
		case w <- struct{}{}:
		default: // it has one to see yet
		}
	}
}

// Watch returns a channel that gets a value soon after any shot or session
// changed; several changes may come as one. It is closed when ctx is done.
func (f *Folder) Watch(ctx context.Context) <-chan struct{} {
	w := make(chan struct{}, 1)
	c := &f.changes
	c.mu.Lock()
	if c.watchers == nil {
		c.watchers = map[chan struct{}]bool{}
	}
	c.watchers[w] = true
	c.mu.Unlock()
	context.AfterFunc(ctx, func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		delete(c.watchers, w)
		close(w)
	})
	return w
}
