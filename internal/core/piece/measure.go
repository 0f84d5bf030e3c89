package piece

import (
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Measure is one thing that is measured of a piece. The table Measures drives
// verdicts, grades, charts, tables, files and pages; what the house asks of a
// measure is in standard.Standard.Asks.
type Measure struct {
	Key    string // its name, also that of its criterion and of its words
	File   string // the stem of its names in files
	Unit   Unit
	Digits int  // decimals that people read
	Shown  bool // in the tables that people read
	Quiet  bool // on pages only where it fails
	NoU    bool // it is told without an uncertainty
	Hand   bool // the hand sets it, slice by slice: its drift and change are followed
	Of     func(*Piece) *Value
	// Little and Much are the keys of what is wrong with a piece that has too
	// little or too much of it; a measure that has neither is never judged.
	Little, Much string
	// Reasons are the names that a fault in it may have in place of its key.
	Reasons []string
}

// The measures of a piece. Length to skew are design's; overall sizes, the koba
// and the wedge explain them.
var (
	Length    = &Measure{Key: "length", File: "length", Unit: MM, Digits: 1, Shown: true, Hand: true, Of: func(p *Piece) *Value { return &p.Length }, Little: "short", Much: "long"}
	Width     = &Measure{Key: "width", File: "width", Unit: MM, Digits: 1, Shown: true, Hand: true, Of: func(p *Piece) *Value { return &p.Width }, Little: "narrow", Much: "wide"}
	Area      = &Measure{Key: "area", File: "area", Unit: MM2, Digits: 0, Shown: true, Of: func(p *Piece) *Value { return &p.Area }}
	Thickness = &Measure{Key: "thickness", File: "thickness", Unit: MM, Digits: 1, Hand: true, Of: func(p *Piece) *Value { return &p.Thickness }}
	Weight    = &Measure{Key: "weight", File: "weight", Unit: Gram, Digits: 1, Shown: true, Of: func(p *Piece) *Value { return &p.Weight }, Little: "light", Much: "heavy"}
	Cover     = &Measure{Key: "cover", File: "rice_cover", Unit: Share, Digits: 1, Shown: true, Of: func(p *Piece) *Value { return &p.Cover }, Little: "cover",
		Reasons: []string{Triangular, Small, Ragged}}
	Skew  = &Measure{Key: "skew", File: "skew", Unit: Degree, Digits: 1, Shown: true, Quiet: true, Hand: true, Of: func(p *Piece) *Value { return &p.Skew }, Much: "skewed"}
	Taper = &Measure{Key: "taper", File: "taper", Unit: Ratio, Digits: 2, NoU: true, Of: func(p *Piece) *Value { return &p.Taper }}

	OverallLength = &Measure{Key: "overall-length", File: "overall_length", Unit: MM, Digits: 1, NoU: true, Of: func(p *Piece) *Value { return &p.OverallLength }}
	OverallWidth  = &Measure{Key: "overall-width", File: "overall_width", Unit: MM, Digits: 1, NoU: true, Of: func(p *Piece) *Value { return &p.OverallWidth }}
	KobaWidth     = &Measure{Key: "koba-width", File: "koba_width", Unit: MM, Digits: 1, Of: func(p *Piece) *Value { return &p.KobaWidth }}
	WedgeAlong    = &Measure{Key: "wedge-along", File: "wedge_along", Unit: MM, Digits: 1, Of: func(p *Piece) *Value { return &p.WedgeAlong }}
	WedgeAcross   = &Measure{Key: "wedge-across", File: "wedge_across", Unit: MM, Digits: 1, Of: func(p *Piece) *Value { return &p.WedgeAcross }}
)

// Measures is the table, in the order in which people and files have them.
var Measures = []*Measure{Length, Width, Area, Thickness, Weight, Cover, Skew, Taper,
	OverallLength, OverallWidth, KobaWidth, WedgeAlong, WedgeAcross}

// Shown are the measures in the tables that people read.
func Shown() []*Measure { return those(func(m *Measure) bool { return m.Shown }) }

// OfHand are those that follow the hand: size, thickness, and the angle of the ends,
// which is how the knife was turned.
func OfHand() []*Measure { return those(func(m *Measure) bool { return m.Hand }) }

// Judged are the measures that a standard may set limits for.
func Judged() []*Measure { return those((*Measure).judged) }

func those(keep func(*Measure) bool) []*Measure {
	return slices.DeleteFunc(slices.Clone(Measures), func(m *Measure) bool { return !keep(m) })
}

func (m *Measure) judged() bool { return m.Little != "" || m.Much != "" }

// Name is its English name, as a column is headed.
func (m *Measure) Name() string { return strings.ReplaceAll(m.File, "_", " ") }

// Head is its English name with the unit that is written in a column's head
// rather than in the cells; a share has its sign in each cell.
func (m *Measure) Head() string {
	if m.Unit == Share {
		return m.Name()
	}
	return strings.TrimSpace(m.Name() + " " + strings.TrimSpace(m.Unit.Sign))
}

// Column is its name in files, and ColumnU that of its uncertainty.
func (m *Measure) Column() string  { return m.File + m.Unit.Suffix }
func (m *Measure) ColumnU() string { return m.File + "_u" + m.Unit.Suffix }

// In writes a value with its uncertainty, where it has one, as people read it and
// without the unit: an estimate after ≈, a dash for one that is not known.
func (m *Measure) In(v Value) string {
	x, u := v.X*m.Unit.Scale, v.U*m.Unit.Scale
	about := ""
	if v.Estimate {
		about = "≈ "
	}
	switch {
	case !v.Known:
		return "–"
	case v.U == 0:
		return about + uncertainty.Decimal(x, m.Digits)
	}
	return about + uncertainty.PlusMinus(x, u, m.Digits)
}

// Estimates are the names of the measures of a piece that are estimates.
func (p Piece) Estimates() []string {
	var out []string
	for _, m := range Measures {
		if m.Of(&p).Estimate {
			out = append(out, m.File)
		}
	}
	return out
}

// Values are those of one measure that count, in the order of the pieces.
func (m *Measure) Values(pieces []Piece) []float64 {
	var out []float64
	for i := range pieces {
		if v := m.Of(&pieces[i]); v.Counts() && pieces[i].State == Measured {
			out = append(out, v.X)
		}
	}
	return out
}

// Columns are the names in files of all measures and their uncertainties, in the
// order of the table.
func Columns() []string {
	var out []string
	for _, m := range Measures {
		out = append(out, m.Column())
		if !m.NoU {
			out = append(out, m.ColumnU())
		}
	}
	return out
}

// Cells puts the measures that are known into the cells of a table's row, by the
// names of their columns.
func (p Piece) Cells(row map[string]any) {
	for _, m := range Measures {
		v := *m.Of(&p)
		if !v.Known {
			continue
		}
		row[m.Column()] = v.X
		if !m.NoU {
			row[m.ColumnU()] = v.U
		}
	}
}

// Asks is what a house asks of the measure, as the house wrote it.
func (m *Measure) Asks(low, high *float64) phrase.Text {
	switch {
	case low != nil && high != nil:
		return phrase.Named("between", m.limit(*low), m.limit(*high)+m.Unit.Sign)
	case low != nil:
		return phrase.Named("at-least", m.limit(*low)+m.Unit.Sign)
	case high != nil:
		return phrase.Named("at-most", m.limit(*high)+m.Unit.Sign)
	}
	return phrase.Of("said-else")
}

// limit is a limit in digits as the house wrote it: 75, 7.5, 97.
func (m *Measure) limit(v float64) string {
	return strconv.FormatFloat(uncertainty.Round(v*m.Unit.Scale, 3), 'f', -1, 64)
}
