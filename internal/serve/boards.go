package serve

import (
	"context"
	"sync"
	"sync/atomic"

	"netagauge/internal/keep/board"
	"netagauge/internal/keep/intake"
)

// boards keeps the board last drawn: many look at it while photos arrive, and
// drawing it reads the whole class. It is drawn anew when something changed,
// by one request at a time; the others get it then.
type boards struct {
	changed atomic.Int64 // counts changes

	drawing sync.Mutex
	at      int64 // changes that the board below knows of
	name    string
	last    board.Board
}

// follow counts the folder's changes until it is closed.
func (b *boards) follow(changes <-chan struct{}) {
	for range changes {
		b.changed.Add(1)
	}
}

// stale makes the next look draw the board anew.
func (b *boards) stale() { b.changed.Add(1) }

// board is a class's as it is now.
func (s *Server) board(ctx context.Context, class string) (board.Board, error) {
	b := &s.boards
	b.drawing.Lock()
	defer b.drawing.Unlock()
	now := b.changed.Load() + 1
	if b.at == now && b.name == class {
		return b.last, nil
	}
	run, err := s.Folder.Run(ctx, class)
	if err != nil {
		return board.Board{}, err
	}
	drawn, err := board.Load(ctx, s.Folder.Book(), run)
	if err != nil {
		return board.Board{}, err
	}
	b.at, b.name, b.last = now, class, drawn
	return drawn, nil
}

// openBoard is the board of the class that is open.
func (s *Server) openBoard(ctx context.Context) (b board.Board, found bool, err error) {
	var open intake.Session
	if open, found, err = s.openedClass(ctx); err != nil || !found {
		return b, found, err
	}
	b, err = s.board(ctx, open.Name)
	return b, true, err
}
