package serve

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"netagauge/internal/keep/board"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

// latest keeps what was last drawn from the folder: many look at it while photos
// arrive, and drawing it reads much. It is drawn anew when something changed, by one
// request at a time; the others get it then.
type latest[T any] struct {
	drawing sync.Mutex
	drawn   bool
	at      int64 // changes that it knows of
	key     any
	last    T
}

func (l *latest[T]) get(c *changes, key any, draw func() (T, error)) (T, error) {
	l.drawing.Lock()
	defer l.drawing.Unlock()
	now := c.count.Load()
	if l.drawn && l.at == now && l.key == key {
		return l.last, nil
	}
	drawn, err := draw()
	if err == nil {
		l.drawn, l.at, l.key, l.last = true, now, key, drawn
	}
	return drawn, err
}

// changes counts those of the folder.
type changes struct{ count atomic.Int64 }

// follow counts until the folder is closed.
func (c *changes) follow(changed <-chan struct{}) {
	for range changed {
		c.stale()
	}
}

// stale makes the next look draw anew.
func (c *changes) stale() { c.count.Add(1) }

// stale makes the next look draw anew, here and at other servers of the site.
func (s *Server) stale() {
	s.boards.stale()
	if s.Folder != nil { // an organisation's owners have none
		s.Folder.TellOthers()
	}
}

// boards are the class board, with the reports that it was drawn from, that of the earlier
// class somebody looked at last, the line's charts, and the owner's day.
type boards struct {
	changes
	class         latest[board.Board]
	loader        board.Loader // under the class's lock
	earlier       latest[board.Board]
	earlierLoader board.Loader
	line          latest[charted]
	day           latest[readDay]
}

// board is a class's as it is now.
func (s *Server) board(ctx context.Context, class string) (board.Board, error) {
	b := &s.boards
	return s.drawn(ctx, class, &b.class, &b.loader)
}

func (s *Server) drawn(ctx context.Context, class string, in *latest[board.Board], by *board.Loader) (board.Board, error) {
	return in.get(&s.boards.changes, class, func() (board.Board, error) {
		run, err := s.Folder.Run(ctx, class)
		if err != nil {
			return board.Board{}, err
		}
		return by.Load(ctx, run)
	})
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

// manyClasses is from how many on the log says that they are summed up.
const manyClasses = 20

// catchUp keeps the grades of the classes so far, and sums up the line. After an update
// this may read all reports, once.
func (s *Server) catchUp(ctx context.Context) error {
	all := book.Run{HeldOn: time.Now().AddDate(100, 0, 0)}
	runs, err := s.Folder.Book().Ungraded(ctx, all)
	if err != nil {
		return err
	}
	if len(runs) > manyClasses {
		s.Log.InfoContext(ctx, "earlier classes are summed up, once; this may take a minute", "classes", len(runs))
	}
	if err := s.Folder.Book().SumUpLine(ctx, s.Line, chartedLast); err != nil {
		return err
	}
	return board.CatchUp(ctx, s.Folder.Book(), all)
}
