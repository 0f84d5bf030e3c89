package inspect

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
)

// judge holds each measured piece against the standard and asks the coach what
// to change.
func (s *scene) judge(pieces []*thing) {
	target := coach.TargetOf(s.in.Standard, s.in.Matter.Group)
	for _, p := range pieces {
		if p.State != piece.Measured {
			continue
		}
		p.tellTop()
		s.in.Standard.Judge(&p.Piece, s.in.Matter.Group)
		advice := coach.Piece(p.Piece, target, s.cut(p.Number))
		for i := range p.Faults {
			f := &p.Faults[i]
			for _, a := range advice {
				if a.On == f.Of() && f.Says == nil {
					f.Says, f.Advice = a.Text, phrase.English().Must(a.Text)
				}
			}
		}
	}
}

// wholeTray stands for every piece: only what was told for all of them holds.
const wholeTray = 0

// cut is how the piece of a number was cut, as far as told.
func (s *scene) cut(number int) coach.Cut {
	c := s.in.Cut
	if l, told := s.in.Matter.LayAngles.Of(number); told {
		c.Phi = math.Atan2(1, l.X) * 180 / math.Pi
	}
	return c
}
