package serve

import (
	"crypto/rand"
	"sync"
)

// keptDrawn is how many pictures of plans are kept: those of the last minutes.
const keptDrawn = 8

// drawn keeps the pictures of the last plans, for the page that just showed them.
type drawn struct {
	mu   sync.Mutex
	last []drawing
}

type drawing struct {
	id, owner string
	jpeg      []byte
}

func (d *drawn) keep(owner string, jpeg []byte) (id string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.last) == keptDrawn {
		d.last = d.last[1:]
	}
	id = rand.Text()
	d.last = append(d.last, drawing{id, owner, jpeg})
	return id
}

// find gives nil for a picture that is not there, or is another's.
func (d *drawn) find(owner, id string) []byte {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, x := range d.last {
		if x.id == id && x.owner == owner {
			return x.jpeg
		}
	}
	return nil
}
