package plan

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/judge/coach"
)

// planner places cut after cut from the start of the block.
type planner struct {
	block  Block // as seen from the start
	target coach.Target
	opt    Options
	volume float64 // of a slice, mm³
	planes []plane
	slices []Slice
}

// good counts the slices on the target.
func (p planner) good() int {
	var n int
	for _, s := range p.slices {
		if len(s.Off) == 0 {
			n++
		}
	}
	return n
}

// run plans from a first cut on, for as long as it can still come to more than
// beat slices on the target.
func (p *planner) run(ctx context.Context, first plane, beat int) error {
	p.planes = []plane{first}
	for p.good()+p.room() > beat {
		if err := ctx.Err(); err != nil {
			return err
		}
		next, ok := p.next()
		if !ok {
			break
		}
		p.slices = append(p.slices, p.slice(next))
		p.planes = append(p.planes, next)
	}
	if len(p.slices) == 0 {
		return p.tooSmall()
	}
	return nil
}

// room is how many slices the block beyond the last cut has the volume for.
func (p *planner) room() int {
	return int((p.block.Volume() - p.block.volumeBefore(p.planes[len(p.planes)-1])) / p.volume)
}

// ErrTooSmall is the error for a block that gives no slice.
var ErrTooSmall = errors.New("the block is too small")

func (p *planner) tooSmall() error {
	return fmt.Errorf("%w for one slice of %.0f × %.0f mm: no cut at %.0f° or steeper crosses it whole; cut it upright for other use, or aim for a smaller slice",
		ErrTooSmall, p.target.LengthAim, p.target.WidthAim, minAngle)
}

var errNoAngle = errors.New("no angle")

// ideal gives the angles at which the slice beyond a cut through the block's
// middle at x has the target's length and width, refined on the solid: the wall
// leans, and a block that widens along the cut gives another length than a bar.
func (p *planner) ideal(x float64) (theta, phi float64, err error) {
	s := p.block.Section(x)
	theta, phi, ok := onBar(s.Width(), s.Height, p.volume, p.target)
	if !ok {
		return 0, 0, errNoAngle
	}
	least := math.Inf(1)
	for t, f := theta, phi; least > closeEnough; {
		c := newPlane(t, f, axisPoint(p.block, x))
		if _, whole := p.block.edgeX(c); !whole {
			break
		}
		slice := p.look(c, p.ahead(c))
		if slice.miss >= least {
			break
		}
		theta, phi, least = t, f, slice.miss
		t, f = slice.theta, slice.phi
	}
	return theta, phi, nil
}

// ahead is the parallel cut that would leave one slice of the wanted volume
// beyond c.
func (p *planner) ahead(c plane) plane {
	c.d += p.volume / p.block.face(c).area()
	return c
}

// looked is how far a slice is from the target's length and width, mm together,
// and the angles that bring it there. They do on a plain bar, and nearly on most
// blocks; where a block is so slight that the long axis of what lies there is no
// longer along the cut, they lead astray. So they are taken as long as they help.
type looked struct{ miss, theta, phi float64 }

// closeEnough is how near the target's sizes a slice is planned, mm.
const closeEnough = 0.01

// look at the slice between two cuts.
func (p *planner) look(last, c plane) looked {
	length, width := p.block.outline(last, c).size()
	thick := p.volume / p.block.face(last).area()
	theta, _ := leanOf(c.theta, length, thick*sineDeg(c.phi)).angle(p.target.LengthAim)
	phi, _ := leanOf(c.phi, width, thick).angle(p.target.WidthAim)
	return looked{math.Abs(length-p.target.LengthAim) + math.Abs(width-p.target.WidthAim), theta, phi}
}

// axisPoint is the middle of the section at x: cuts are placed there.
func axisPoint(b Block, x float64) r3.Vec {
	s := b.Section(x)
	return r3.Vec{X: x, Y: (s.Near + s.Far) / 2, Z: s.Height / 2}
}

func inside(v, low, high float64) bool { return v >= low && v <= high }

// next is the cut that leaves one slice of the wanted volume behind the last
// cut. Turning the knife makes the slice a wedge: the turn is halved until the
// thin corner keeps half of the thickness.
func (p *planner) next() (plane, bool) {
	last := p.planes[len(p.planes)-1]
	theta, phi, err := p.ideal(p.middle(last))
	if err != nil {
		theta, phi = last.theta, last.phi
	}
	for turn := p.opt.Turn; ; turn /= 2 {
		if turn < 0.01 {
			turn = 0
		}
		c, ok := p.nextTurning(turn, theta, phi)
		if !ok {
			if turn == 0 {
				return plane{}, false
			}
			continue
		}
		s := p.slice(c)
		if turn == 0 || s.ThicknessLeast >= 0.5*s.Thickness {
			return c, true
		}
	}
}

// nextTurning finds the next cut when the angles may change by turn degrees,
// towards the given ones at first.
func (p *planner) nextTurning(turn, theta, phi float64) (plane, bool) {
	last := p.planes[len(p.planes)-1]
	var best plane
	for least := math.Inf(1); least > closeEnough; {
		c, ok := p.atVolume(toward(last.theta, theta, turn), toward(last.phi, phi, turn))
		if !ok {
			return plane{}, false
		}
		if _, whole := p.block.edgeX(c); !whole {
			return best, !math.IsInf(least, 1)
		}
		slice := p.look(last, c)
		if slice.miss >= least {
			break
		}
		best, least = c, slice.miss
		theta, phi = slice.theta, slice.phi
	}
	return best, true
}

func toward(from, to, most float64) float64 { return from + min(max(to-from, -most), most) }

// middle is where the cut's edges cross the block, on the mean.
func (p *planner) middle(c plane) float64 {
	xs, _ := p.block.edgeX(c)
	return (xs[0] + xs[1] + xs[2] + xs[3]) / 4
}

// atVolume slides a plane of the given angles along the block until a slice's
// volume lies between it and the last cut. The volume before a plane only
// grows, so that bisection cannot miss; a step by the wanted face's area
// is tried first, and bisection every fourth time. ok is false when the block
// ends first.
func (p *planner) atVolume(theta, phi float64) (plane, bool) {
	want := p.block.volumeBefore(p.planes[len(p.planes)-1]) + p.volume
	if want > p.block.Volume() {
		return plane{}, false
	}
	c := newPlane(theta, phi, r3.Vec{})
	reach := (p.block.widest().Width() + p.block.highest().Height) / (sineDeg(theta) * sineDeg(phi))
	lo, hi := -reach*c.n.X, (p.block.Length()+reach)*c.n.X
	c.d = p.planes[len(p.planes)-1].d + p.volume/(p.target.LengthAim*p.target.WidthAim)
	for i := 0; hi-lo > 1e-10; i++ {
		if c.d <= lo || c.d >= hi || i%4 == 3 {
			c.d = (lo + hi) / 2
		}
		got := p.block.volumeBefore(c)
		if math.Abs(got-want) < 1e-9*p.volume {
			break
		}
		if got < want {
			lo = c.d
		} else {
			hi = c.d
		}
		c.d += (want - got) / (p.target.LengthAim * p.target.WidthAim)
	}
	return c, true
}

func sineDeg(deg float64) float64 { s, _ := sincosDeg(deg); return s }

// slice is what the cut c frees behind the last one.
func (p *planner) slice(c plane) Slice {
	last := p.planes[len(p.planes)-1]
	s := Slice{Number: len(p.planes), Theta: c.theta, Phi: c.phi}
	s.Length, s.Width = p.block.outline(last, c).size()
	s.FaceArea = p.block.face(c).area()
	s.Volume = p.block.volumeBefore(c) - p.block.volumeBefore(last)
	s.Weight = p.opt.Density * s.Volume / 1000
	s.Pitch = p.middle(c) - p.middle(last)
	s.thickness(p.block, last, c)
	s.Off = p.off(s)
	return s
}

// thickness sets the distances from the last cut to points of the face.
func (s *Slice) thickness(b Block, last, c plane) {
	xs, _ := b.edgeX(c)
	s.ThicknessLeast, s.ThicknessMost = math.Inf(1), math.Inf(-1)
	for k, x := range xs {
		yz := b.Section(x).corners()[k]
		t := last.level(x, yz)
		s.Thickness += t / 4
		s.ThicknessLeast, s.ThicknessMost = min(s.ThicknessLeast, t), max(s.ThicknessMost, t)
	}
}

// off names the measures outside the target's limits.
func (p *planner) off(s Slice) []string {
	var out []string
	for _, m := range []struct {
		name         string
		v, low, high float64
	}{
		{"length", s.Length, p.target.LengthLow, p.target.LengthHigh},
		{"width", s.Width, p.target.WidthLow, p.target.WidthHigh},
		{"weight", s.Weight, p.target.WeightLow, p.target.WeightHigh},
	} {
		if !inside(m.v, m.low, m.high) {
			out = append(out, m.name)
		}
	}
	return out
}
