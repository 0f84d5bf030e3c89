package plan

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"netagauge/internal/coach"
	"netagauge/internal/shape"
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

// run plans from a first cut on.
func (p *planner) run(ctx context.Context, first plane) error {
	p.planes = []plane{first}
	for {
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

func (p *planner) tooSmall() error {
	return fmt.Errorf("the block is too small for one slice of %.0f × %.0f mm: no cut at %.0f° or steeper crosses it whole; cut it upright for other use, or aim for a smaller slice",
		p.target.LengthAim, p.target.WidthAim, minAngle)
}

var errNoAngle = errors.New("no angle")

// ideal gives the angles that cut the target's length and width where the
// block is as wide and high as at x, refined on the solid: a block that widens
// along the cut gives another length than W / sin(theta).
func (p *planner) ideal(x float64) (theta, phi float64, err error) {
	s := p.block.Section(x)
	theta, okT := coach.Theta(p.target.LengthAim, s.Width())
	phi, okP := coach.Phi(p.target.WidthAim, s.Height)
	if !okT || !okP || theta < minAngle || phi < minAngle {
		return 0, 0, errNoAngle
	}
	for range 6 {
		c := newPlane(theta, phi, axisPoint(p.block, x))
		if _, ok := p.block.edgeX(c); !ok {
			break
		}
		length, width := size(p.block.face(c))
		if math.Abs(length-p.target.LengthAim) < 0.01 && math.Abs(width-p.target.WidthAim) < 0.01 {
			break
		}
		theta = turned(theta, length, p.target.LengthAim)
		phi = turned(phi, width, p.target.WidthAim)
	}
	return theta, phi, nil
}

// turned is the angle that brings a size to the aim, upright when none does.
func turned(used, have, want float64) float64 {
	deg, ok := coach.Turned(used, have, want)
	if !ok {
		return 90
	}
	return max(deg, minAngle)
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
	for turn := p.opt.Turn; ; turn /= 2 {
		if turn < 0.01 {
			turn = 0
		}
		c, ok := p.nextTurning(turn)
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

// nextTurning finds the next cut when the angles may change by turn degrees.
// Place and angles depend on each other; they settle in a few rounds as the
// angles change little over a slice.
func (p *planner) nextTurning(turn float64) (plane, bool) {
	last := p.planes[len(p.planes)-1]
	c := last
	for round := range 5 {
		theta, phi, err := p.ideal(p.middle(c))
		if err != nil {
			theta, phi = last.theta, last.phi
		}
		theta, phi = toward(last.theta, theta, turn), toward(last.phi, phi, turn)
		if round > 0 && math.Abs(theta-c.theta)+math.Abs(phi-c.phi) < 1e-3 {
			break
		}
		var ok bool
		if c, ok = p.atVolume(theta, phi); !ok {
			return plane{}, false
		}
	}
	_, whole := p.block.edgeX(c)
	return c, whole
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
	face := p.block.face(c)
	s := Slice{Number: len(p.planes), Theta: c.theta, Phi: c.phi}
	s.Length, s.Width = size(face)
	s.Area = shape.Outline(face).Area()
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
