package inspect

import (
	"math"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/coach"
	"netagauge/internal/judge/standard"
	"netagauge/internal/tell/report"
)

// judge holds each measured piece against the standard and asks the coach what
// to change.
func (s *scene) judge(pieces []*piece) {
	target := coach.TargetOf(s.in.Standard, s.in.Matter.Group)
	for _, p := range pieces {
		if p.state != report.PieceMeasured {
			continue
		}
		m := standard.Measured{
			Length: p.m.Length, LengthU: p.u.length, Width: p.m.Width, WidthU: p.u.width,
			Cover: p.cover, CoverU: p.u.cover, Taper: p.m.Taper, Group: s.in.Matter.Group,
		}
		if p.weight != nil {
			m.Weight, m.WeightU = &p.weight.X, p.weight.Expanded()
		}
		m.Koba = yesOrNo(p.top.Koba)
		p.verdict = s.in.Standard.Judge(m)
		p.advice = coach.Piece(p.forCoach(), target, s.cut(p.number))
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

func (p *piece) forCoach() coach.PieceIn {
	in := coach.PieceIn{
		Number: p.number, Length: p.m.Length, Width: p.m.Width, Area: p.m.Area,
		Taper: p.m.Taper, RiceCover: p.cover, Triangular: p.verdict.Triangular,
	}
	if p.weight != nil {
		in.Thickness, in.Weight = p.weight.Thickness.X, p.weight.X
	}
	if p.top.Known {
		in.Wedge = p.wedge()
	}
	return in
}

// adviceFor is the coach's sentence for a fault. The standard tells apart why
// rice shows; the coach speaks of its cover.
func (p *piece) adviceFor(fault string) phrase.Text {
	switch fault {
	case "triangular", "small", "ragged":
		fault = coach.FaultCover
	}
	for _, a := range p.advice {
		if a.Fault == fault {
			return a.Text
		}
	}
	return nil
}
