package plan

import "context"

// bestStart runs from the first cut that will do. An end that is narrow or cut
// askew asks for angles that the block beyond it does not, and the knife turns
// only so far from cut to cut: if slices come out off the target, later starts
// are tried, and the one with most slices on it is taken.
func (p planner) bestStart(ctx context.Context) (planner, error) {
	best, err := p.firstRun(ctx)
	if err != nil || best.good() == len(best.slices) {
		return best, err
	}
	later := p.startsFrom(best.middle(best.planes[0]) + apart*startStep)
	for i, vain := 0, 0; later.x(i) < p.block.Length() && vain < patience; i += apart {
		if rest := p.block.Volume() - p.block.volumeBefore(newPlane(90, 90, axisPoint(p.block, later.x(i)))); rest < p.volume*float64(best.good()) {
			break // no start from here on gives more
		}
		first, ok := later.first(i)
		if !ok {
			break
		}
		run := p
		if err := run.run(ctx, first, best.good()); err != nil {
			return best, ctx.Err()
		}
		if vain++; run.good() > best.good() {
			best, vain = run, 0
		}
	}
	return best, nil
}

// firstRun runs from the first cut that gives the size or, where the block ends
// before a slice does, from the first that crosses it whole.
func (p planner) firstRun(ctx context.Context) (planner, error) {
	all := p.startsFrom(0)
	for _, first := range []func(int) (plane, bool){all.first, all.whole} {
		c, ok := first(0)
		if !ok {
			break
		}
		run := p
		if err := run.run(ctx, c, -1); err == nil || ctx.Err() != nil {
			return run, ctx.Err()
		}
	}
	return p, p.tooSmall()
}

// Later starts are tried so many steps apart, 5 mm, and given up after so many in
// vain, 100 mm: on 60 random blocks none that gained came later than 35 mm after
// the one before.
const (
	apart    = 10
	patience = 20
)

// startStep is how far apart places for a first cut are tried, mm.
const startStep = 0.5

// starts are the places for a first cut, one every step from a place on. What a
// cut there is like takes long to work out, and every run asks from its start
// to the block's end where no place is good: each is worked out once.
type starts struct {
	p    *planner
	from float64
	seen []start
}

// start is a first cut: whole crosses all of the block, good gives the target's
// size as well.
type start struct {
	cut         plane
	whole, good bool
}

func (p *planner) startsFrom(x float64) *starts { return &starts{p: p, from: x} }

func (s *starts) x(i int) float64 { return s.from + float64(i)*startStep }

// at is the cut at the i-th place.
func (s *starts) at(i int) start {
	for k := len(s.seen); k <= i; k++ {
		s.seen = append(s.seen, s.p.startAt(s.x(k)))
	}
	return s.seen[i]
}

// first is the cut nearest the start, from the i-th place on, that crosses the
// block whole and beyond which a slice has the target's size; in a block that
// nowhere gives that size, the first that crosses it whole.
func (s *starts) first(i int) (plane, bool) {
	for k := i; s.x(k) < s.p.block.Length(); k++ {
		if at := s.at(k); at.good {
			return at.cut, true
		}
	}
	return s.whole(i)
}

// whole is the cut nearest the start, from the i-th place on, that crosses the
// block whole.
func (s *starts) whole(i int) (plane, bool) {
	for ; s.x(i) < s.p.block.Length(); i++ {
		if at := s.at(i); at.whole {
			return at.cut, true
		}
	}
	return plane{}, false
}

func (p *planner) startAt(x float64) start {
	theta, phi, err := p.ideal(x)
	if err != nil {
		return start{}
	}
	c := newPlane(theta, phi, axisPoint(p.block, x))
	if _, ok := p.block.edgeX(c); !ok {
		return start{}
	}
	length, width := p.block.outline(c, p.ahead(c)).size()
	return start{c, true, inside(length, p.target.LengthLow, p.target.LengthHigh) && inside(width, p.target.WidthLow, p.target.WidthHigh)}
}
