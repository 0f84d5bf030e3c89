package inspect

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coach"
)

// judge holds each measured piece against the standard and asks the coach what to
// change: on the tray as a whole, which is returned, and on each piece.
func (s *scene) judge(pieces []*thing) []phrase.Text {
	target := coach.TargetOf(s.in.Standard, s.in.Matter.Group)
	var measured []piece.Piece
	for _, p := range pieces {
		if p.State == piece.Measured {
			p.tellTop()
			s.in.Standard.Judge(&p.Piece, s.in.Matter.Group)
			measured = append(measured, p.Piece)
		}
	}
	tray := coach.Tray(measured, target, s.cut(wholeTray))
	for _, p := range measured {
		for _, a := range coach.Piece(p, target, s.cut(p.Number)) {
			for i := range p.Faults { // which the thing shares
				if f := &p.Faults[i]; a.On == f.Of() && f.Says == nil {
					f.Says = a.Within(tray)
					f.Advice = phrase.English().Must(f.Says)
				}
			}
		}
	}
	return tray
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
