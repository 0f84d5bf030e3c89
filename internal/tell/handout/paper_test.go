package handout

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/board"
	"netagauge/internal/tell/telltest"
)

// names of an invented class.
var names = append(telltest.LongNames, "Tanaka Anna", "山田 太郎")

// lesson is an invented class of them.
func lesson() Papers {
	std := standard.Default()
	b := board.Board{Session: "Monday morning at the Harbour Lane knife school", HeldOn: time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC),
		Ticket: ticket.Ticket{Standard: std, Species: "salmon", Thickness: "4.1", Temperature: "5"}, Whole: board.Sizes{}}
	for who, name := range names {
		t := board.Trainee{Name: name, Shares: map[string]float64{"length": 0.6, "width": 1, "cover": 0.8}, Sizes: board.Sizes{}, Minutes: 3,
			Tips: []phrase.Text{phrase.Of("class-unmeasured")}, Past: []board.Past{{Session: "before", HeldOn: b.HeldOn.AddDate(0, 0, -7), Percent: 70}}}
		var trays []grade.Tray
		tray := grade.Tray{File: fmt.Sprintf("%d.jpg", who), Report: piece.Tray{Status: piece.TrayMeasured}}
		for n := range 6 {
			tray.Report.Pieces = append(tray.Report.Pieces, sliceAt(who, n+1, std))
		}
		trays = append(trays, tray)
		t.Photos = []board.Photo{{File: tray.File, Slices: grade.Slices(trays), Thickness: "measured from two photos for 1, 2, 3, 4, 5, 6"}}
		t.Grade, t.Count = grade.Of(trays, 3, std), grade.Verdicts(trays...)
		for _, m := range piece.Measures {
			t.Sizes[m.Key] = m.Values(tray.Report.Pieces)
			b.Whole[m.Key] = append(b.Whole[m.Key], t.Sizes[m.Key]...)
		}
		b.Trainees = append(b.Trainees, t)
	}
	b.Open = []board.Open{{File: "img_2231.jpg", Why: phrase.Named("as-kept", "the label is not in the roster")}}
	return Papers{Board: b, Absent: []string{"Nobody Came"}}
}

// Every page of the PDF keeps its ink within the margins, on paper that lies within
// A4 and Letter, in every language; no name is broken but at a space; nothing is
// left unsaid. NETAGAUGE_LOOK names a folder to look at the pages in.
func TestEveryPageIsWhole(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("poppler is not installed")
	}
	picture := tinyJPEG(t)
	for _, l := range phrase.Languages() {
		p := lesson()
		p.Words, p.Pictures = l, func(board.Photo) ([]byte, error) { return picture, nil }
		dir := filepath.Join(telltest.Look(t), l.Tag())
		fatal.If(t, p.Write(dir, false))
		file := filepath.Join(dir, "class.pdf")
		pdf, err := os.ReadFile(file)
		fatal.If(t, err)
		telltest.Whole(t, l.Tag(), pdf, 11)     // a line may overhang its margin by its own width
		if paper.Wd > 210 || paper.Ht > 279.4 { // the width of A4, the height of Letter
			t.Errorf("the pages are %v mm: more than A4 and Letter both have", paper)
		}
		text, err := exec.Command("pdftotext", "-raw", file, "-").Output()
		fatal.If(t, err)
		if strings.Contains(string(text), "⟦") {
			t.Errorf("%s: a key has no words", l.Tag())
		}
		for _, name := range names {
			for _, word := range strings.Fields(name) {
				if !strings.Contains(string(text), word) && len([]rune(word)) < 36 {
					t.Errorf("%s: %q is broken", l.Tag(), word)
				}
			}
		}
	}
}

// A list that does not fit under what stands on a page goes to the next one whole,
// heading and all; one longer than a page begins at once.
func TestListStaysWhole(t *testing.T) {
	for _, c := range []struct {
		from          float64 // mm down the first page
		points, pages int
	}{{190, 1, 2}, {175, 5, 2}, {150, 5, 1}, {150, 100, 4}} {
		d := newDoc(words{phrase.English()}, "list")
		d.page("L")
		d.SetY(c.from)
		fatal.If(t, d.list("Cautions", slices.Repeat([]string{"Put the knife down."}, c.points)))
		if d.PageNo() != c.pages {
			t.Errorf("%d points end on page %d, want %d", c.points, d.PageNo(), c.pages)
		}
		if want := pdfMargin + 6 + 4.2*float64(c.points); c.pages == 2 && math.Abs(d.GetY()-want) > 0.01 {
			t.Errorf("%d points end %.1f mm down the page, want %.1f", c.points, d.GetY(), want)
		}
	}
}

// Drawings that fit stand abreast, each in its own place: two of 120 mm have ink
// over more than 200 mm, three go on below.
func TestPlotsStandAbreast(t *testing.T) {
	p := lesson()
	p.Words = phrase.English()
	plots, err := p.classPlots()
	fatal.If(t, err)
	for _, c := range []struct{ n, rows int }{{1, 1}, {2, 1}, {3, 2}} {
		d := newDoc(words{phrase.English()}, "plots")
		d.page("L")
		one := 120 * plots[0].AspectRatio()
		fatal.If(t, d.plots(slices.Repeat(plots[:1], c.n), 120, 0))
		if want := pdfMargin + float64(c.rows)*(one+1); math.Abs(d.GetY()-want) > 0.01 {
			t.Errorf("%d drawings end %.1f mm down, want %.1f", c.n, d.GetY(), want)
		}
		var pdf bytes.Buffer
		fatal.If(t, d.Output(&pdf))
		const perMM = 2
		if wide := telltest.Ink(telltest.FirstPage(t, pdf.Bytes(), perMM)).Dx(); (wide > 200*perMM) != (c.n > 1) {
			t.Errorf("%d drawings have ink over %d px", c.n, wide)
		}
	}
}

// The cautions of the board stand under its last drawings, however much stands above:
// nobody reads a page that has nothing else.
func TestCautionsStandUnderDrawings(t *testing.T) {
	p := lesson()
	p.Words = phrase.English()
	p.Past = nil // three drawings are left, in two rows
	for p.Absent = nil; len(p.Absent) < 19; p.Absent = append(p.Absent, "Nobody Came") {
		d := newDoc(p.say(), p.Session)
		fatal.If(t, d.board(p))
		if alone := pdfMargin + d.listHigh(p.say().cautions()); d.GetY() < alone+20 {
			t.Errorf("with %d absent the last page has nothing but the cautions", len(p.Absent))
		}
	}
}

// Where no weight counts it is said what would make it count.
func TestWeightsThatDoNotCountAreExplained(t *testing.T) {
	p := lesson()
	p.Words = phrase.English()
	p.Whole[piece.Weight.Key] = []float64{12}
	if says := p.Counting(); strings.Contains(says, "Weight counts where") {
		t.Errorf("with weights it says %q", says)
	}
	delete(p.Whole, piece.Weight.Key)
	if says := p.Counting(); !strings.Contains(says, "Weight counts where it is known of each slice") {
		t.Errorf("without weights it says %q", says)
	}
}
