package handout

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/book"
	"netagauge/internal/tell/telltest"
	"netagauge/internal/work/class"
	"netagauge/internal/work/record"
)

// hostile names, none of a real person.
var hostile = []string{
	`<script>alert("x")</script>`, `O'Brien & "Sons"`, `=HYPERLINK("http://example.com")`, "@SUM(A1)", "鈴木 花子", "🍣 Ann",
	"محمد علي", "שרה כהן", strings.Repeat("x", 300), "Ann\u202eevil", "Łukasz Żółć", "-1+1",
}

// sliceAt is a made-up slice; sizes follow from the trainee and its number.
func sliceAt(who, n int, std standard.Standard) piece.Piece {
	l := 78 + 6*math.Sin(float64(who*5+n)) - float64(who%3)*2
	w := 35 + 3*math.Cos(float64(who*3+n))
	m := piece.Piece{Number: n, State: piece.Measured, Length: piece.Of(l, 0.4), Width: piece.Of(w, 0.4), Area: piece.Of(l*w, 20),
		Thickness: piece.Of(4.1, 0), Weight: piece.Of(l*w*4.1*1.06/1000, 0.6), Cover: piece.Of(1-0.02*float64(n%3), 0.004), Taper: piece.Of(0.05, 0),
		Outline: [][2]float64{{20, float64(40 * n)}, {20 + l, float64(40 * n)}, {20 + l, float64(40*n) + w}, {20, float64(40*n) + w}}}
	std.Judge(&m, "")
	return m
}

// tinyJPEG stands for an annotated picture.
func tinyJPEG(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 280))
	draw.Draw(img, img.Rect, image.NewUniform(color.RGBA{60, 110, 170, 255}), image.Point{}, draw.Src)
	var b bytes.Buffer
	fatal.If(t, jpeg.Encode(&b, img, nil))
	return b.Bytes()
}

// sessions runs two invented classes through the book; the roster maps labels
// 01, 02, ... to the hostile names. It returns the board of the second.
func sessions(t *testing.T) (board.Board, []string, Pictures) {
	t.Helper()
	ctx := t.Context()
	b, err := book.Temporary(ctx)
	fatal.If(t, err)
	t.Cleanup(func() { b.Close() })
	var rows bytes.Buffer
	out := csv.NewWriter(&rows)
	out.Write([]string{"label", "name", "minutes"})
	for i, name := range hostile {
		out.Write([]string{fmt.Sprintf("%02d", i+1), name, fmt.Sprint(2 + i%3)})
	}
	out.Write([]string{"99", "Nobody Came", ""})
	out.Flush()
	roster, err := class.ParseRoster(rows.String())
	fatal.If(t, err)
	job := ticket.Ticket{Standard: standard.Default(), Species: "salmon", Thickness: "4.1"}
	hash, err := b.Ticket(ctx, job)
	fatal.If(t, err)
	var run book.Run
	for session, name := range []string{"Monday <b>class</b>", "Wednesday class"} {
		if run, err = b.Begin(ctx, name, time.Date(2026, 11, 23+2*session, 0, 0, 0, 0, time.UTC), hash, "v1"); err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		for i := range hostile {
			os.WriteFile(filepath.Join(dir, fmt.Sprintf("%02d.jpg", i+1)), []byte{byte(session), byte(i)}, 0o644)
		}
		os.WriteFile(filepath.Join(dir, "<i>who.jpg"), []byte{9, byte(session)}, 0o644)
		found, err := class.Trays(dir)
		fatal.If(t, err)
		check := func(_ context.Context, tray record.Tray) (record.Result, error) {
			data, err := tray.First.Read()
			if err != nil {
				return record.Result{}, err
			}
			who := int(data[1]) + 7*int(data[0])
			if data[1] == 4 {
				return record.Result{Report: piece.Tray{Status: piece.TrayRefused, Problems: []piece.Problem{{Code: "blurred", Message: "the photo is blurred", Remedy: "hold still"}}}}, nil
			}
			r := piece.Tray{Status: piece.TrayMeasured}
			for n := range 5 {
				r.Pieces = append(r.Pieces, sliceAt(who, n+1, job.Standard))
			}
			r.Pieces = append(r.Pieces, piece.Piece{Number: 6, State: piece.Foreign, Outline: [][2]float64{{200, 200}, {280, 250}}})
			return record.Result{Report: r, Picture: tinyJPEG(t)}, nil
		}
		j := class.Job{Recorder: record.Recorder{Book: b, Program: "v1", Measure: check}, Folder: dir, Trays: found, Roster: roster, Run: run, Ticket: job, Workers: 2}
		if _, err := j.Do(ctx); err != nil {
			t.Fatal(err)
		}
	}
	entries, err := b.Entries(ctx, run.ID)
	fatal.If(t, err)
	o, err := board.ParseOverride(piece.NotASlice, "02.jpg:3:a <b>scrap</b> of skin", []string{"02.jpg"})
	fatal.If(t, err)
	fatal.If(t, board.KeepOverrides(ctx, b, entries, []board.FileOverride{o}))
	got, err := board.Load(ctx, b, run)
	fatal.If(t, err)
	return got, got.Missing(roster.Names()), func(x board.Photo) ([]byte, error) { return b.Picture(ctx, x.Result) }
}

// written is the folder of a hostile class; NETAGAUGE_LOOK names one to look at.
func written(t *testing.T) (string, board.Board) {
	t.Helper()
	dir := os.Getenv("NETAGAUGE_LOOK")
	if dir == "" {
		dir = t.TempDir()
	}
	b, absent, pictures := sessions(t)
	fatal.If(t, (Papers{b, absent, phrase.English(), pictures}).Write(dir, false))
	return dir, b
}

// Every page holds the names as text, exactly but for what does not print, and
// no element, attribute or address that a name could have made.
func TestHTMLHoldsNamesAsText(t *testing.T) {
	dir, b := written(t)
	pages, err := filepath.Glob(filepath.Join(dir, "trainees", "*.html"))
	if err != nil || len(pages) != len(hostile) {
		t.Fatalf("%d pages for %d trainees, %v", len(pages), len(hostile), err)
	}
	text := checkPage(t, filepath.Join(dir, "board.html"))
	for _, name := range hostile {
		if !strings.Contains(text, name) {
			t.Errorf("the board does not show %q", name)
		}
	}
	for _, want := range []string{"Nobody Came", "<i>who.jpg", "the photo is blurred", phrase.English().Must(b.ShowAgain())} {
		if !strings.Contains(text, want) {
			t.Errorf("the board does not show %q", want)
		}
	}
	all := ""
	for _, p := range pages {
		all += checkPage(t, p)
	}
	for _, want := range append(slices.Clone(hostile), "a <b>scrap</b> of skin") {
		if !strings.Contains(all, want) {
			t.Errorf("no trainee's page shows %q", want)
		}
	}
}

// checkPage parses a page, fails on anything active or from outside, and
// returns its text.
func checkPage(t *testing.T, path string) string {
	t.Helper()
	f, err := os.Open(path)
	fatal.If(t, err)
	defer f.Close()
	root, err := html.Parse(f)
	fatal.If(t, err)
	var text strings.Builder
	for n := range root.Descendants() {
		switch {
		case n.Type == html.TextNode && n.Parent.Data != "style":
			text.WriteString(n.Data)
		case n.Type == html.ElementNode && slices.Contains([]string{"script", "iframe", "object", "embed", "form", "i"}, n.Data):
			t.Errorf("%s: an element <%s>", path, n.Data)
		}
		for _, a := range n.Attr {
			outside := (a.Key == "src" && !strings.HasPrefix(a.Val, "data:image/")) || (a.Key == "href" && !strings.HasPrefix(a.Val, "trainees/"))
			if strings.HasPrefix(a.Key, "on") || outside {
				t.Errorf("%s: attribute %s=%.60q", path, a.Key, a.Val)
			}
		}
	}
	return text.String()
}

// Poppler reads every name from the PDF: those of the basic plane exactly, the
// rest as their escapes.
func TestPDFHoldsNamesAsText(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("poppler's pdftotext is not installed")
	}
	dir, _ := written(t)
	text, err := exec.Command("pdftotext", "-raw", filepath.Join(dir, "class.pdf"), "-").Output()
	fatal.If(t, err)
	words := strings.NewReplacer("\u202a", "", "\u202b", "", "\u202c", "").Replace(string(text)) // marks that poppler adds
	flat := strings.Join(strings.Fields(words), "")
	for _, name := range hostile {
		parts := []string{strings.Join(strings.Fields(basic(name)), "")}
		if asSeen(basic(name)) != basic(name) { // poppler sets right-to-left words one by one
			parts = strings.Fields(name)
		}
		for _, want := range parts {
			if !strings.Contains(flat, want) {
				t.Errorf("the PDF does not hold %q of %q", want, name)
			}
		}
	}
}

// The CSV files are RFC 4180 with guarded texts and real numbers.
func TestCSV(t *testing.T) {
	dir, b := written(t)
	data, err := os.ReadFile(filepath.Join(dir, "board.csv"))
	fatal.If(t, err)
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil || len(rows) != len(hostile)+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, x := range b.Trainees {
		got := rows[i+1][2]
		if strings.TrimPrefix(got, "'") != x.Name {
			t.Errorf("name %q, want %q", got, x.Name)
		}
		if strings.ContainsAny(got[:1], "=+-@") {
			t.Errorf("name %q would run as a formula", got)
		}
	}
}

func TestTextEscapesNames(t *testing.T) {
	b, absent, _ := sessions(t)
	var out bytes.Buffer
	fatal.If(t, (Papers{b, absent, phrase.English(), nil}).Text(&out))
	if strings.ContainsAny(out.String(), "\u202e\x1b") {
		t.Error("a name steers the terminal")
	}
	telltest.Fits(t, out.String())
	telltest.Says(t, out.String(), "Show again:", "no photo of Nobody Came", "鈴木 花子", phrase.English().Word("caution"))
}

func TestPageNames(t *testing.T) {
	seen := map[string]bool{}
	for i, name := range append(slices.Clone(hostile), "../../etc/passwd", `..\x`, "") {
		p := pageName(i, name)
		if seen[p] || strings.Contains(p, "..") || strings.Count(p, "/") != 1 || len(p) > 140 {
			t.Errorf("%q gives %q", name, p)
		}
		seen[p] = true
	}
	for name, want := range map[string]string{"Ann-Marie O'Brien": "trainees/01-ann-marie-o-brien.html", "鈴木 花子": "trainees/01-鈴木-花子.html", "🍣": "trainees/01-trainee.html"} {
		if got := pageName(0, name); got != want {
			t.Errorf("%q gives %q, want %q", name, got, want)
		}
	}
}

// Nothing in the book is no reason to fall over.
func TestEmptyBoard(t *testing.T) {
	b := board.Board{Session: "empty", HeldOn: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Ticket: ticket.Ticket{Standard: standard.Default()}}
	for _, l := range phrase.Languages() {
		p := Papers{b, []string{"Ann"}, l, nil}
		if err := p.Write(t.TempDir(), true); err != nil {
			t.Error(err)
		}
		if err := p.Text(io.Discard); err != nil {
			t.Error(err)
		}
	}
}
