package serve

import (
	"crypto/rand"
	"sync"
)

// keptRecent is how many answers are kept: those of the last minutes.
const keptRecent = 8

// recent keeps what the last forms made, in memory only, for the page that shows it:
// loading that page anew makes nothing again.
type recent[T any] struct {
	mu   sync.Mutex
	last []made[T]
}

type made[T any] struct {
	id, owner string
	it        T
}

func (d *recent[T]) keep(owner string, it T) (id string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.last) == keptRecent {
		d.last = d.last[1:]
	}
	id = rand.Text()
	d.last = append(d.last, made[T]{id, owner, it})
	return id
}

// find gives nothing for what is not there any more, or is another's.
func (d *recent[T]) find(owner, id string) (it T, ok bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, x := range d.last {
		if x.id == id && x.owner == owner {
			return x.it, true
		}
	}
	return it, false
}
