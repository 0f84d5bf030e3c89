package serve

import (
	"cmp"
	"context"
	"math"
	"slices"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/board"
)

// tryData is what a standard would change of the open class's verdicts.
type tryData struct {
	ID          string // of the draft
	Changed, Of int
	Moves       []moveData
}

// moveData is how many verdicts would go from one to another, by the style's classes.
type moveData struct {
	From, To string
	N        int
}

// stripData draws the class's slices over a band. Places run from 0 to gaugeWidth.
type stripData struct {
	Low, Aim, High float64
	At             []float64
}

// Width is how wide the band is.
func (d stripData) Width() float64 { return d.High - d.Low }

func wrongBand(label string) error { return phrase.Wrong("band-wrong", label) }

// beside holds the open class's slices against a standard: each over its band and,
// where it is tried, how many verdicts it would change.
func (s *Server) beside(ctx context.Context, data *standardData, house standard.Standard) error {
	b, found, err := s.openBoard(ctx)
	if err != nil || !found {
		return err
	}
	data.strips(b, house)
	if data.Try != nil {
		data.Try.compare(b, house)
	}
	return nil
}

// compare counts the verdicts that change. What a person said of a slice stays.
func (d *tryData) compare(b board.Board, house standard.Standard) {
	_, group := b.Ticket.Fish()
	moves := map[moveData]int{}
	for _, t := range b.Trainees {
		for _, x := range t.Photos {
			for _, p := range x.Slices {
				if p.State != piece.Measured {
					continue
				}
				d.Of++
				if p.Override != nil && p.Override.Judges() {
					continue
				}
				if now := house.Rejudged(p.Piece, group).Verdict; now != p.Found {
					d.Changed++
					moves[moveData{From: classes[p.Found], To: classes[now]}]++
				}
			}
		}
	}
	for m, n := range moves {
		m.N = n
		d.Moves = append(d.Moves, m)
	}
	slices.SortFunc(d.Moves, func(a, b moveData) int { return cmp.Or(b.N-a.N, cmp.Compare(a.From+a.To, b.From+b.To)) })
}

// manyDots is how many slices a strip shows at most.
const manyDots = 200

// strips draws the class's sizes over the bands that they are held against.
func (data *standardData) strips(b board.Board, house standard.Standard) {
	for i := range data.Bands {
		f := &data.Bands[i]
		at := slices.IndexFunc(houseBands, func(h houseBand) bool { return h.id == f.ID })
		for _, m := range standard.Banded() {
			if v := b.Whole[m.Key]; len(v) > 0 && concerns(b.Ticket, house, houseBands[at], m) {
				f.Strip = stripOf(*houseBands[at].of(&house), v)
			}
		}
	}
}

// concerns reports whether the class's slices are held against a band in a measure.
func concerns(told ticket.Ticket, house standard.Standard, h houseBand, m *piece.Measure) bool {
	_, group := told.Fish()
	marked := house
	*h.of(&marked) = standard.Limits{}
	was, _ := house.Band(m, group)
	now, _ := marked.Band(m, group)
	return was != now
}

func stripOf(band standard.Limits, v []float64) *stripData {
	at := along(band, math.Max(gaugeReach*(band.High-band.Low), 1))
	out := &stripData{Low: at(band.Low), Aim: at(band.Aim), High: at(band.High)}
	for _, x := range v[max(0, len(v)-manyDots):] {
		out.At = append(out.At, at(x))
	}
	return out
}
