package handout

import (
	"io"
	"strconv"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
)

// PDF writes the class board and the teacher's view, then a page for each
// trainee to hand out.
func (p Papers) PDF(w io.Writer) error {
	d := newDoc(p.say(), p.Session+", "+p.Words.Word("paper-board"))
	d.SetCreationDate(p.HeldOn) // the same class gives the same file
	d.SetModificationDate(p.HeldOn)
	if err := d.board(p); err != nil {
		return err
	}
	for _, t := range p.Trainees {
		if err := d.trainee(p, t); err != nil {
			return err
		}
	}
	return d.Output(w)
}

func (d *doc) board(p Papers) error {
	d.page("L")
	l := d.say
	var bad failing
	bad.do(d.heading(16, p.Session))
	bad.do(d.paragraph("", 9, 4.5, l.day(p.HeldOn)+l.Word("paper-end")+" "+p.FactsLine()+l.Word("paper-end")))
	d.Ln(2)
	bad.do(d.paragraph("B", 12, 6, l.Word("paper-show-again")))
	bad.do(d.paragraph("", 11, 5.5, l.Must(p.ShowAgain())))
	d.Ln(2)
	if len(p.Trainees) > 0 {
		bad.do(d.table(d.boardColumns(p), d.boardRows(p)))
		bad.do(d.paragraph("", 8, 4, p.Counting()+" "+l.Word("paper-legend")))
		bad.do(d.paragraph("", 8, 4, l.Must(p.Repeats())))
	}
	bad.do(d.list(l.Word("paper-not-counted"), p.notCounted()))
	plots, err := p.classPlots()
	bad.do(err)
	bad.do(d.plots(plots, 125, d.listHigh(l.cautions()))) // no page has them alone
	bad.do(d.list(l.Word("cautions"), l.cautions()))
	return bad.err
}

// failing keeps the first error of a row of steps.
type failing struct{ err error }

func (f *failing) do(err error) {
	if f.err == nil {
		f.err = err
	}
}

func (d *doc) boardColumns(p Papers) []column {
	l := d.say
	out := []column{{"", 8, false}, {l.Word("paper-trainee"), 0, true}}
	for i, c := range l.countHeads() {
		out = append(out, column{c, []float64{12, 11, 13, 15, 17}[i], false})
	}
	for i, m := range p.shownMeasures() {
		wide := 18.0
		if i < len(standard.Banded()) {
			wide = 27
		}
		out = append(out, column{m.head, wide, false})
	}
	return append(out, column{l.Word("paper-grade"), 14, false}, column{l.Word("paper-since"), 18, false})
}

func (d *doc) boardRows(p Papers) [][]string {
	l := d.say
	var rows [][]string
	for i, t := range p.Trainees {
		row := []string{strconv.Itoa(i+1) + ".", t.Name}
		for _, n := range countCells(t.Count) {
			row = append(row, strconv.Itoa(n))
		}
		for _, m := range p.shownMeasures() {
			row = append(row, joinLines(m.cells(t)))
		}
		rows = append(rows, append(row, l.grade(t.Grade), l.trend(t)))
	}
	return rows
}

// list writes points under a heading, where there are any, on one page where they fit.
func (d *doc) list(heading string, lines []string) error {
	if len(lines) == 0 {
		return nil
	}
	var bad failing
	high := d.listHigh(lines)
	d.Ln(listGap)
	if _, page := d.GetPageSize(); high > page-2*pdfMargin {
		high = listGap + listHead + listLine // a heading stands with its first point
	}
	d.room(high - listGap)
	bad.do(d.paragraph("B", 11, listHead, heading))
	for _, s := range lines {
		bad.do(d.paragraph("", listSize, listLine, "•  "+s))
	}
	return bad.err
}

// A list's letters in points; the room over it, of its heading and of a line, mm.
const listSize, listGap, listHead, listLine = 8.5, 2.0, 6.0, 4.2

// listHigh is how high a list is, mm.
func (d *doc) listHigh(lines []string) float64 {
	wide, _ := d.GetPageSize()
	d.Use(false, listSize)
	high := listGap + listHead
	for _, s := range lines {
		high += listLine * float64(len(d.wrap("•  "+s, wide-2*pdfMargin, listLine)))
	}
	return high
}

func (d *doc) trainee(p Papers, t board.Trainee) error {
	d.page("P")
	l := d.say
	var bad failing
	bad.do(d.heading(15, t.Name))
	bad.do(d.paragraph("", 8.5, 4, p.Session+", "+l.day(p.HeldOn)+l.Word("paper-end")+" "+p.FactsLine()+l.Word("paper-end")))
	d.Ln(1)
	grade := l.Word("paper-grade-is", l.grade(t.Grade))
	if _, known := t.Trend(); known {
		grade += l.Word("paper-change-is", l.trend(t))
	}
	bad.do(d.paragraph("B", 13, 6.5, grade))
	bad.do(d.paragraph("", 9, 4.5, l.count(t)+l.Word("paper-end")+" "+l.points(t.Grade)+l.Word("paper-end")+" "+p.Counting()))
	d.Ln(1)
	bad.do(d.tips(t))
	for _, x := range t.Photos {
		bad.do(d.photo(p, x, len(t.Photos)))
	}
	d.Ln(1)
	d.room(20)
	bad.do(d.paragraph("B", 11, 5.5, l.Word("paper-how")))
	bad.do(d.table(d.gradeColumns(), d.gradeRows(t)))
	plots, err := p.traineePlots(t)
	bad.do(err)
	if n := len(plots); n > 0 && len(t.Past) > 0 {
		bad.do(d.plots(plots[n-1:], 105, 9))
	}
	bad.do(d.paragraph("", 8, 4, l.Word("paper-plus-minus")+" "+l.caution()))
	return bad.err
}

// heading writes a name as large as keeps it on one line, to a limit.
func (d *doc) heading(size float64, s string) error {
	const least = 10
	wide, _ := d.GetPageSize()
	for d.Use(true, size); size > least && d.Width(basic(s)) > wide-2*pdfMargin; d.Use(true, size) {
		size -= 0.5
	}
	return d.paragraph("B", size, size/2, s)
}

// tips says what to change next.
func (d *doc) tips(t board.Trainee) error {
	l := d.say
	var bad failing
	bad.do(d.paragraph("B", 11, 5.5, l.Word("paper-change-next")))
	for i, tip := range t.Tips {
		bad.do(d.paragraph("", 10, 5, strconv.Itoa(i+1)+".  "+l.Must(tip)))
	}
	if s := l.nothing(t); s != "" && len(t.Tips) == 0 {
		bad.do(d.paragraph("", 10, 5, s))
	}
	if s := l.missing(t); s != "" {
		bad.do(d.paragraph("", 10, 5, s))
	}
	return bad.err
}

func (d *doc) gradeColumns() []column {
	l := d.say
	return []column{{l.Word("paper-criterion"), 24, true}, {l.Word("paper-points"), 20, false}, {l.Word("paper-because"), 0, true}, {l.Word("paper-rests"), 36, true}, {l.Word("paper-outside"), 36, true}}
}

func (d *doc) gradeRows(t board.Trainee) [][]string {
	l := d.say
	var rows [][]string
	for _, c := range t.Grade.Criteria {
		rows = append(rows, []string{l.criterion(c.Name), l.earned(c), l.Must(c.Why), l.Must(c.Rests), l.outside(c, len(t.Photos) > 1)})
	}
	return rows
}

// sliceColumns are those of a photo's slices: the judged measures share the width.
func (d *doc) sliceColumns() []column {
	l := d.say
	out := []column{{"", 8, false}, {l.Word("paper-verdict"), 24, true}}
	judged := piece.Judged()
	for _, m := range judged {
		out = append(out, column{l.head(m), 104 / float64(len(judged)), false})
	}
	return append(out, column{l.Word("paper-why"), 0, true})
}

// photo shows the annotated picture and the measures of one photo.
func (d *doc) photo(p Papers, x board.Photo, of int) error {
	d.Ln(1)
	l := d.say
	var bad failing
	bad.do(d.paragraph("B", 9, 4.5, x.File))
	if len(x.Problem) > 0 {
		bad.do(d.paragraph("", 9, 4.5, l.Must(x.Problem)))
	}
	if facts := p.FactsLineOf(x); facts != "" {
		bad.do(d.paragraph("", 8.5, 4, facts+l.Word("paper-end")))
	}
	if x.Thickness != "" {
		bad.do(d.paragraph("", 9, 4.5, l.Word("paper-thickness", x.Thickness)))
	}
	data, err := p.Pictures(x)
	bad.do(err)
	if len(data) > 0 {
		bad.do(d.tray(data, of))
	}
	var rows [][]string
	row := func(number int, verdict, why string, cell func(*piece.Measure) string) {
		out := []string{strconv.Itoa(number), verdict}
		for _, m := range piece.Judged() {
			out = append(out, cell(m))
		}
		rows = append(rows, append(out, why))
	}
	for _, s := range x.Slices {
		row(s.Number, l.verdict(s), l.why(s), func(m *piece.Measure) string { return sliceCell(s, m) })
	}
	for _, o := range x.Others {
		row(o.Number, "–", l.other(o), func(*piece.Measure) string { return "" })
	}
	if len(rows) > 0 {
		bad.do(d.table(d.sliceColumns(), rows))
	}
	return bad.err
}
