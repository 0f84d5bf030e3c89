// Package notify lets the processes that share a PostgreSQL record hear of each other's
// changes, by its LISTEN and NOTIFY on one connection of each process. What is told is
// only that something of a site changed: who hears it looks into the record.
package notify

import (
	"context"
	"crypto/rand"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
)

// News of a record, told and heard. Its methods may be called from several goroutines.
type News struct {
	self   string // so that a process does not hear itself
	config *pgx.ConnConfig
	stop   context.CancelFunc
	ended  chan struct{}

	mu      sync.Mutex
	hearers map[*hearer]bool
	told    map[string]bool // sites that the others are not told of yet
	wake    context.CancelFunc
}

type hearer struct {
	site string
	hear func()
}

const (
	channel = "netagauge"
	breath  = 100 * time.Millisecond // between two times of telling: many changes go as one
	again   = 2 * time.Second        // how often all look for themselves while the record is out of reach
)

// Open connects to the database at url, now and whenever the connection is lost, until
// Close.
func Open(url string) (*News, error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(context.Background())
	n := &News{self: rand.Text(), config: config, stop: stop, ended: make(chan struct{}), hearers: map[*hearer]bool{}, told: map[string]bool{}}
	go n.run(ctx)
	return n, nil
}

// Close ends it.
func (n *News) Close() {
	n.stop()
	<-n.ended
}

// Tell lets the other processes know, soon, that something of a site changed.
func (n *News) Tell(site string) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.told[site] = true
	if n.wake != nil {
		n.wake()
	}
}

// Hear calls hear, which must not wait, soon after another process changed something of
// the site, and whenever that may have been missed, until stop is called.
func (n *News) Hear(site string, hear func()) (stop func()) {
	h := &hearer{site, hear}
	n.mu.Lock()
	defer n.mu.Unlock()
	n.hearers[h] = true
	return func() {
		n.mu.Lock()
		defer n.mu.Unlock()
		delete(n.hearers, h)
	}
}

// heard calls those who hear of a site, or all of them for "".
func (n *News) heard(site string) {
	n.mu.Lock()
	defer n.mu.Unlock()
	for h := range n.hearers {
		if site == "" || h.site == site {
			h.hear()
		}
	}
}

func (n *News) run(ctx context.Context) {
	defer close(n.ended)
	for ctx.Err() == nil {
		n.connected(ctx)
		n.heard("") // whatever was missed
		pause(ctx, again)
	}
}

// connected listens and tells until the connection is lost.
func (n *News) connected(ctx context.Context) {
	c, err := pgx.ConnectConfig(ctx, n.config)
	if err != nil {
		return
	}
	defer c.Close(context.WithoutCancel(ctx))
	if _, err := c.Exec(ctx, "LISTEN "+channel); err != nil {
		return
	}
	n.heard("")
	for ctx.Err() == nil {
		sites, waiting := n.take(ctx)
		for _, site := range sites {
			if _, err := c.Exec(ctx, "SELECT pg_notify($1, $2)", channel, n.self+" "+site); err != nil {
				return
			}
		}
		if len(sites) > 0 {
			pause(ctx, breath)
		}
		note, err := c.WaitForNotification(waiting)
		if err != nil && waiting.Err() == nil {
			return
		}
		if err != nil {
			continue // something is to be told
		}
		if from, site, ok := strings.Cut(note.Payload, " "); ok && from != n.self {
			n.heard(site)
		}
	}
}

// take is what is to be told now, and until when to wait.
func (n *News) take(ctx context.Context) ([]string, context.Context) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.wake != nil {
		n.wake()
	}
	sites := slices.Sorted(maps.Keys(n.told))
	n.told = map[string]bool{}
	ctx, n.wake = context.WithCancel(ctx)
	return sites, ctx
}

func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}
