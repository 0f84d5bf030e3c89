package handout

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"strconv"

	"golang.org/x/image/draw"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/figure"
	"netagauge/internal/tell/report"
)

// PDF writes the class board and the teacher's view, then a page for each
// trainee to hand out.
func PDF(w io.Writer, b board.Board, absent []string, pictures Pictures) error {
	d, err := newDoc(b.Session + ", class board")
	if err != nil {
		return err
	}
	d.SetCreationDate(b.HeldOn) // the same class gives the same file
	d.SetModificationDate(b.HeldOn)
	if err := d.board(b, absent); err != nil {
		return err
	}
	for _, t := range b.Trainees {
		if err := d.trainee(b, t, pictures); err != nil {
			return err
		}
	}
	return d.Output(w)
}

func (d *doc) board(b board.Board, absent []string) error {
	d.AddPage()
	var bad failing
	bad.do(d.paragraph("B", 16, 8, b.Session))
	bad.do(d.paragraph("", 9, 4.5, dayText(b.HeldOn)+". "+ticketText(b.Ticket)+"."))
	d.Ln(2)
	bad.do(d.paragraph("B", 12, 6, "What to show again"))
	bad.do(d.paragraph("", 11, 5.5, phrase.English().Must(b.ShowAgain())))
	d.Ln(2)
	if len(b.Trainees) > 0 {
		bad.do(d.table(boardColumns(b), boardRows(b)))
		bad.do(d.paragraph("", 8, 4, countingText(b.Ticket)+" Length to cover: share of slices within. Sizes: mean (sd, standard deviation, ± by how few slices it is known). What has no data counts neither way."))
		bad.do(d.paragraph("", 8, 4, say(b.Repeats())))
	}
	bad.do(d.notCounted(b, absent))
	figs, err := classFigures(b)
	bad.do(err)
	bad.do(d.figures(figs, 150))
	bad.do(d.cautions())
	return bad.err
}

// failing keeps the first error of a row of steps.
type failing struct{ err error }

func (f *failing) do(err error) {
	if f.err == nil {
		f.err = err
	}
}

func boardColumns(b board.Board) []column {
	out := []column{{"", 8, false}, {"trainee", 34, true}}
	for i, c := range countColumns() {
		out = append(out, column{c, []float64{12, 11, 11, 12, 22}[i], false})
	}
	for _, c := range judged(b.Ticket.Standard) {
		out = append(out, column{c, 15, false})
	}
	for _, m := range standard.Banded() {
		out = append(out, column{m.Head(), 24, false})
	}
	return append(out, column{"grade", 16, false}, column{"trend", 20, false})
}

func boardRows(b board.Board) [][]string {
	var rows [][]string
	for i, t := range b.Trainees {
		row := []string{strconv.Itoa(i+1) + ".", t.Name}
		for _, c := range textRow(b, t)[1:] {
			row = append(row, c.(string))
		}
		rows = append(rows, row)
	}
	return rows
}

func (d *doc) notCounted(b board.Board, absent []string) error {
	var lines []string
	for _, p := range refused(b) {
		lines = append(lines, p.File+" was refused: "+p.Problem)
	}
	for _, o := range b.Open {
		lines = append(lines, o.File+" counts for nobody: "+phrase.English().Must(o.Why))
	}
	for _, name := range absent {
		lines = append(lines, "no photo of "+name)
	}
	lines = append(lines, b.Warnings...)
	if len(lines) == 0 {
		return nil
	}
	d.Ln(2)
	var bad failing
	bad.do(d.paragraph("B", 12, 6, "Not counted"))
	for _, l := range lines {
		bad.do(d.paragraph("", 9, 4.5, "•  "+l))
	}
	return bad.err
}

func (d *doc) trainee(b board.Board, t board.Trainee, pictures Pictures) error {
	d.orientation = "P"
	d.AddPageFormat(d.orientation, d.GetPageSizeStr("A4"))
	var bad failing
	bad.do(d.paragraph("B", 15, 7.5, t.Name))
	bad.do(d.paragraph("", 8.5, 4, b.Session+", "+dayText(b.HeldOn)+". "+ticketText(b.Ticket)+"."))
	d.Ln(1)
	grade := "Grade " + gradeText(t.Grade)
	if _, known := t.Trend(); known {
		grade += "   (since last time: " + trendText(t) + ")"
	}
	bad.do(d.paragraph("B", 13, 6.5, grade))
	bad.do(d.paragraph("", 9, 4.5, countText(t)+". "+pointsText(t.Grade)+". "+countingText(b.Ticket)))
	d.Ln(1)
	bad.do(d.paragraph("B", 11, 5.5, "What to change next"))
	for i, tip := range t.Tips {
		bad.do(d.paragraph("", 10, 5, string(rune('1'+i))+".  "+tip))
	}
	for _, s := range []string{nothingText(t), missingText(t)} {
		if s != "" && (len(t.Tips) == 0 || s == missingText(t)) {
			bad.do(d.paragraph("", 10, 5, s))
		}
	}
	for _, p := range t.Photos {
		bad.do(d.photo(p, len(t.Photos), pictures))
	}
	d.Ln(1)
	bad.do(d.paragraph("B", 11, 5.5, "How the grade came about"))
	bad.do(d.table(gradeColumns, gradeRows(t)))
	figs, err := traineeFigures(b, t)
	bad.do(err)
	if n := len(figs); n > 0 && len(t.Past) > 0 {
		bad.do(d.figures(figs[n-1:], 120))
	}
	bad.do(d.paragraph("", 8, 4, "± is the interval that holds the true value about 95 times in 100. "+report.Caution()))
	return bad.err
}

var gradeColumns = []column{{"criterion", 22, true}, {"points", 20, false}, {"because", 72, true}, {"rests on", 36, true}, {"slices outside", 36, true}}

func gradeRows(t board.Trainee) [][]string {
	var rows [][]string
	for _, c := range t.Grade.Criteria {
		rows = append(rows, []string{c.Name, criterionPoints(c), say(c.Why), say(c.Rests), outsideText(c, len(t.Photos) > 1)})
	}
	return rows
}

// sliceColumns are those of a photo's slices: the judged measures share the width.
func sliceColumns() []column {
	out := []column{{"", 8, false}, {"verdict", 24, true}}
	judged := piece.Judged()
	for _, m := range judged {
		out = append(out, column{m.Head(), 96 / float64(len(judged)), false})
	}
	return append(out, column{"why", 58, true})
}

// photo shows the annotated picture and the measures of one photo.
func (d *doc) photo(p board.Photo, of int, pictures Pictures) error {
	d.Ln(1)
	var bad failing
	bad.do(d.paragraph("B", 9, 4.5, p.File))
	if p.Problem != "" {
		bad.do(d.paragraph("", 9, 4.5, p.Problem))
	}
	if p.Thickness != "" {
		bad.do(d.paragraph("", 9, 4.5, "Thickness: "+p.Thickness))
	}
	data, err := pictures(p.Result)
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
	for _, s := range p.Slices {
		row(s.Number, verdictText(s), faultText(s), func(m *piece.Measure) string { return sliceCell(s, m) })
	}
	for _, o := range p.Others {
		row(o.Number, "–", otherText(o), func(*piece.Measure) string { return "" })
	}
	if len(rows) > 0 {
		bad.do(d.table(sliceColumns(), rows))
	}
	return bad.err
}

// tray places the annotated picture; it is smaller when there are several.
func (d *doc) tray(data []byte, of int) error {
	data, ratio, err := forPage(data)
	if err != nil {
		return err
	}
	high := 78.0
	if of > 1 {
		high = 50
	}
	page, _ := d.GetPageSize()
	wide := high * ratio
	if most := page - 2*pdfMargin; wide > most {
		wide, high = most, most/ratio
	}
	d.room(high)
	y := d.GetY()
	if err := d.place("jpg", data, pdfMargin, y, wide, high); err != nil {
		return err
	}
	d.SetXY(pdfMargin, y+high+1)
	return nil
}

// pagePicture is how wide, in px, a picture in the PDF is at most: some 200 a
// printed inch. The library holds all pictures of a class in memory.
const pagePicture = 900

// forPage makes a picture no larger than a page needs, and tells its width over
// its height.
func forPage(data []byte) ([]byte, float64, error) {
	from, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, 0, fmt.Errorf("read an annotated picture: %w", err)
	}
	size := from.Bounds()
	ratio := float64(size.Dx()) / float64(size.Dy())
	if size.Dx() <= pagePicture {
		return data, ratio, nil
	}
	to := image.NewRGBA(image.Rect(0, 0, pagePicture, int(pagePicture/ratio)))
	draw.CatmullRom.Scale(to, to.Rect, from, size, draw.Src, nil)
	small, err := report.EncodeJPEG(to)
	return small, ratio, err
}

func (d *doc) figures(figs []figure.Figure, wide float64) error {
	for _, f := range figs {
		data, err := f.PNG()
		if err != nil {
			return err
		}
		high := wide * f.AspectRatio()
		_, page := d.GetPageSize()
		if most := page - 2*pdfMargin; high > most {
			wide, high = wide*most/high, most
		}
		d.room(high)
		y := d.GetY()
		if err := d.place("png", data, pdfMargin, y, wide, high); err != nil {
			return err
		}
		d.SetXY(pdfMargin, y+high)
	}
	return nil
}

func (d *doc) cautions() error {
	d.Ln(2)
	for _, c := range report.Cautions() {
		if err := d.paragraph("", 8, 4, "•  "+c); err != nil {
			return err
		}
	}
	return nil
}
