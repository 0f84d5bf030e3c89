package serve

import (
	"html/template"
	"math"
	"net/http"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/see/shape"
)

// sliceData fills the sheet of one slice.
type sliceData struct {
	pieceData
	Shot       string
	Prev, Next int // numbers of its neighbours; 0 for none
	Picture    *slicePicture
	Gauges     []gauge
	Weigh      *weighData  // of this slice alone, the others' readings hidden
	Decide     *decideData // nil for whoever may not
}

// One is the slice alone.
func (d sliceData) One() pieceData { return d.pieceData }

// slicePicture is a slice turned level, at the photo's full resolution. Lengths are
// in CSS px about the slice's middle, where the picture is screenWidth wide.
type slicePicture struct {
	View       template.URL
	Image      r2.Box // of the view
	Turn       float64
	Middle     r2.Vec
	Points     string
	Aim        string // points of the shape that is aimed for; empty where there is none
	Over       bool   // the slice reaches over it so far that it shows
	X, Y, W, H float64
}

// slice shows one slice.
func (s *Server) slice(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.withResult(r, who)
	if err != nil {
		return err
	}
	l := s.language(r)
	tray, err := s.trayOf(r.Context(), x)
	if err != nil {
		return err
	}
	all := tray.Report.Pieces
	i := slices.IndexFunc(all, func(p piece.Piece) bool { return strconv.Itoa(p.Number) == r.PathValue("number") })
	if i < 0 {
		return errNotFound
	}
	data := sliceData{pieceData: pieceOf(l, all[i], tray.Overrides, x.Ticket), Shot: x.ID}
	if who.Role == account.Instructor {
		data.Decide = decideOf(x.ID, data.pieceData)
	}
	if i > 0 {
		data.Prev = all[i-1].Number
	}
	if i+1 < len(all) {
		data.Next = all[i+1].Number
	}
	viewed, err := s.Folder.Book().Viewed(r.Context(), x.Result)
	if err != nil {
		return err
	}
	_, group := x.Ticket.Fish()
	data.Picture = enlarged(tray.Report, all[i], viewAddress(x.ID, x.Result), viewed, x.Ticket.Standard)
	if all[i].State == piece.Measured && data.Counts {
		data.Gauges = gaugesOf(all[i], x.Ticket.Standard, group)
		if x.Done() {
			data.Weigh = weighOf(x.Ticket, []pieceData{data.pieceData})
			data.Weigh.Others = othersTold(x.Ticket, all[i].Number)
		}
	}
	return s.show(w, r, http.StatusOK, "slice", page{Title: l.Word("result-title", x.Number), Back: "/shots/" + x.ID, Own: true, Here: "tray", Data: data})
}

// room is how far beyond a slice and the shape aimed for its picture reaches, mm.
const room = 10

// enlarged turns a piece level in the view of its tray; nil where there is none.
func enlarged(r piece.Tray, p piece.Piece, view string, viewed bool, house standard.Standard) *slicePicture {
	f, ok := frameOf(r, !viewed)
	if !ok || len(p.Outline) < 3 {
		return nil
	}
	turn := math.Mod(p.AxisDeg, 180)
	if turn > 90 {
		turn -= 180
	} else if turn <= -90 {
		turn += 180
	}
	middle := p.Centre()
	level := levelled(p.Outline, middle, turn)
	var half r2.Vec
	for _, q := range level {
		half = r2.Vec{X: math.Max(half.X, math.Abs(q.X)), Y: math.Max(half.Y, math.Abs(q.Y))}
	}
	var aim [][2]float64
	if p.State == piece.Measured {
		long, wide, shift := house.Length.Aim/2, house.Width.Aim/2, 0.0
		if f, fits := shape.Outline(level).Parallelogram(r2.Vec{X: 1}); fits {
			shift = f.Lean * wide
		}
		aim = [][2]float64{{-long - shift, -wide}, {long - shift, -wide}, {long + shift, wide}, {-long + shift, wide}}
		half = r2.Vec{X: math.Max(half.X, long+math.Abs(shift)), Y: math.Max(half.Y, wide)}
	}
	half = r2.Add(half, r2.Vec{X: room, Y: room})
	half.X = math.Max(half.X, 1.5*half.Y) // a sheet is wider than high
	k := screenWidth / (2 * half.X)
	out := &slicePicture{View: template.URL(view), Turn: -turn, Middle: r2.Vec{X: k * middle[0], Y: k * middle[1]},
		Image: r2.Box{Min: r2.Scale(k, f.box.Min), Max: r2.Scale(k, f.box.Max)}, Points: points(frame{scale: k}, p.Outline),
		X: -k * half.X, Y: -k * half.Y, W: 2 * k * half.X, H: 2 * k * half.Y}
	if aim != nil {
		out.Aim = points(frame{scale: k}, aim)
		out.Over = k*beyond(level, aim) > drawnOver
	}
	return out
}

// drawnOver is how far the lines of the slice's and the aim's outline cover what lies
// between them, CSS px: half of either.
const drawnOver = 7.5

// beyond is how far an outline reaches out of a parallelogram whose corners are told in
// turn, y down as the outline's, mm.
func beyond(outline []r2.Vec, corners [][2]float64) float64 {
	out := 0.0
	for i, c := range corners {
		from, to := r2.Vec{X: c[0], Y: c[1]}, corners[(i+1)%len(corners)]
		side := r2.Unit(r2.Sub(r2.Vec{X: to[0], Y: to[1]}, from))
		for _, q := range outline {
			out = math.Max(out, -r2.Cross(side, r2.Sub(q, from)))
		}
	}
	return out
}

// levelled is an outline about its middle with an axis of so many degrees laid level.
func levelled(outline [][2]float64, middle [2]float64, deg float64) []r2.Vec {
	out := make([]r2.Vec, len(outline))
	sin, cos := math.Sincos(-deg * math.Pi / 180)
	for i, q := range outline {
		x, y := q[0]-middle[0], q[1]-middle[1]
		out[i] = r2.Vec{X: x*cos - y*sin, Y: x*sin + y*cos}
	}
	return out
}

// gauge is one measure against the house's limits. Positions run from 0 to
// gaugeWidth.
type gauge struct {
	Key, Value, U, Unit, Class string
	Band                       bool // there is one with an aim, and the following hold
	Low, Aim, High             gaugeMark
	From, To, At               float64
	Limit                      string // in words' numbers, where there is only one
}

type gaugeMark struct {
	X    float64
	Text string
}

// Width is how wide the band is.
func (g gauge) Width() float64 { return g.High.X - g.Low.X }

const (
	gaugeWidth = 340
	gaugeReach = 0.6 // of the band's width, shown on either side of it
)

// gaugesOf are the measures of a slice that the house asks something of and that are
// known.
func gaugesOf(p piece.Piece, house standard.Standard, group string) []gauge {
	var out []gauge
	for _, m := range piece.Judged() {
		v := *m.Of(&p)
		f, fails := p.Fault(m)
		if !v.Known || m.Quiet && !fails {
			continue
		}
		g := gauge{Key: m.Key, Unit: m.Unit.Sign, Class: "good"}
		switch {
		case v.Estimate:
			g.Class = ""
		case fails:
			g.Class = classes[f.Verdict()]
		}
		g.Value = uncertainty.Decimal(v.X*m.Unit.Scale, m.Digits)
		if v.U > 0 {
			g.U = uncertainty.Decimal(v.U*m.Unit.Scale, m.Digits)
		}
		if v.Estimate {
			g.Value = "≈ " + g.Value
		}
		if b, ok := house.Band(m, group); ok && b.High > b.Low {
			g.set(b, v)
		}
		out = append(out, g)
	}
	return out
}

// along gives places on a gauge that shows a band and so much on either side of it; what
// lies farther out is held at the rim.
func along(b standard.Limits, reach float64) func(x float64) float64 {
	return func(x float64) float64 {
		return gaugeWidth * math.Max(0.02, math.Min((x-b.Low+reach)/(b.High-b.Low+2*reach), 0.98))
	}
}

// set lays a value against a band.
func (g *gauge) set(b standard.Limits, v piece.Value) {
	at := along(b, gaugeReach*(b.High-b.Low))
	g.Band = true
	g.Low, g.Aim, g.High = gaugeMark{at(b.Low), trimmed(b.Low)}, gaugeMark{at(b.Aim), trimmed(b.Aim)}, gaugeMark{at(b.High), trimmed(b.High)}
	g.From, g.To, g.At = at(v.X-v.U), at(v.X+v.U), at(v.X)
}
