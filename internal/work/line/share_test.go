package line

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/book"
)

// lineOf has a check for each list of widths, in mm; lengths are all the aim.
func lineOf(widths ...[]float64) Line {
	var checks []Check
	for i, some := range widths {
		c := Check{ID: int64(100 + i), Number: i + 1, Who: []string{"Aki", "station 2"}[i%2], File: "a.jpg", At: time.Date(2026, 11, 25, 12, i, 0, 0, time.UTC)}
		for n, w := range some {
			c.Slices = append(c.Slices, piece.Piece{Number: n + 1, State: piece.Measured, Length: piece.Of(80, 0), Width: piece.Of(w, 0)})
			c.Count.Add(piece.Pass)
		}
		checks = append(checks, c)
	}
	return Of("lunch", checks, ControlPlan{Standard: standard.Default()})
}

// A check is told by the kitchen's own clock, wherever its time was kept.
func TestTimesAreOfTheKitchen(t *testing.T) {
	defer func(z *time.Location) { time.Local = z }(time.Local)
	time.Local = time.FixedZone("JST", 9*60*60)
	if got := when(time.Date(2026, 11, 24, 22, 30, 0, 0, time.UTC)); got != "2026-11-25 07:30" {
		t.Errorf("half past seven in the morning is told as %s", got)
	}
}

// A cook reads how many slices are and will be wrong, on which side. The intervals
// are Clopper and Pearson's: 2 of 8, 0.032 to 0.651; 3 of 8, 0.085 to 0.755; none of
// 8, to 0.369; 8 of 8, from 0.631 (tables, from memory).
func TestShares(t *testing.T) {
	for want, widths := range map[string][]float64{
		"About 1 slice in 4 will be too narrow: 2 of 8 were; 3 to 65 in 100 if you go on like this.":                                            {30, 31.9, 32, 35, 35, 35, 36, 38},
		"About 4 slices in 10 will be too wide: 3 of 8 were; 9 to 76 in 100 if you go on like this.":                                            {38.1, 39, 40, 35, 35, 35, 36, 38},
		"None of 8 slices was too narrow or too wide; at most 37 in 100 will be if you go on like this.":                                        {32, 33, 34, 35, 35, 35, 36, 38},
		"All 8 slices were too wide; 63 in 100 or more will be if you go on like this.":                                                         {39, 39, 39, 39, 39, 39, 39, 40},
		"The only slice was neither too narrow nor too wide.":                                                                                   {35},
		"About 1 slice in 8 will be too narrow: 1 of 8 was; 0 to 53 in 100 if you go on like this. About 1 slice in 8 will be too wide: 1 of 8": {30, 40, 35, 35, 35, 35, 35, 35},
	} {
		var said []string
		for _, s := range measure(t, lineOf(widths), "width").Shares() {
			said = append(said, phrase.English().Must(s))
		}
		if got := strings.Join(said, " "); !strings.HasPrefix(got, want) {
			t.Errorf("%v: %q, want %q", widths, got, want)
		}
	}
	if s := measure(t, lineOf([]float64{35, 36}), "weight").Shares(); s != nil {
		t.Errorf("shares of weights that nobody knows: %v", s)
	}
}

// Of ten even checks, one that scatters and one that is too wide: what each of them
// means, for whom it counts, and that a remark makes a signal known.
func TestWhatACheckMeans(t *testing.T) {
	even := []float64{34.5, 35, 35.5}
	widths := slices.Repeat([][]float64{even}, 22)
	widths = append(widths, []float64{30, 35, 40}, []float64{37.5, 38, 38.5}, []float64{35})
	l := lineOf(widths...)
	m := measure(t, l, "width")
	for place, want := range map[int]string{
		0: "Check 1: width as usual.", 22: "Check 23: width varies more than it should. Look at the lay of the blade.",
		23: "Check 24: width is not as usual. Look at the lay of the blade.", 24: "Check 25: width is not in the chart; it takes two slices or more.",
	} {
		says, signals := l.At(m, place)
		if got := phrase.English().Must(says); got != want || (len(signals) > 0) != strings.Contains(want, "Look") {
			t.Errorf("%q with %d signals, want %q", got, len(signals), want)
		}
		if got := l.Signals(int64(100 + place)); got != strings.Contains(want, "Look") {
			t.Errorf("check %d signals %v", place+1, got)
		}
	}
	l.Checks[23].Remarks = []book.Remark{{Says: "old"}, {Says: "new board"}}
	if l.Signals(123) || !l.Signals(122) || l.Signals(999) {
		t.Error("a remark belongs to its own check")
	}
	only := Of("lunch", By(l.Checks, "station 2"), l.Plan)
	if got := only.Checks[11].Number; len(only.Checks) != 12 || got != 24 || !slices.Equal(Whose(l.Checks), []string{"Aki", "station 2"}) {
		t.Errorf("station 2 has %d checks, the last is number %d", len(only.Checks), got)
	}
	l.Fresh = []int64{123}
	var out bytes.Buffer
	fatal.If(t, l.Text(&out, phrase.English()))
	if got := out.String(); !strings.HasPrefix(got, "Check 24 of line lunch, 2026-11-25 12:23, station 2\n") || strings.Contains(got, "--remark") || strings.Count(got, "new board") != 1 {
		t.Errorf("text:\n%s", got)
	}
}

// Files have what the text has: limits, points, signals and remarks of each check.
func TestFiles(t *testing.T) {
	l := lineOf(append(slices.Repeat([][]float64{{34.5, 35, 35.5}}, 20), []float64{37.51, 38, 38.5})...)
	l.Checks[20].Remarks = []book.Remark{{Says: "=new board"}}
	l.Checks[20].Facts = []piece.Fact{piece.NewFact("mat", phrase.Named("value-name", "a4"))}
	l.Fresh = []int64{120}
	var text bytes.Buffer
	fatal.If(t, l.JSON(&text, map[int64]piece.Tray{120: {Status: piece.TrayMeasured}}))
	var said lineJSON
	fatal.If(t, json.Unmarshal(text.Bytes(), &said))
	last, width := said.Checks[20], said.Measures[1]
	if !last.New || last.Remarks[0].Says != "=new board" || last.Facts[0].What != "mat" || !bytes.Contains(last.Tray, []byte(`"status"`)) || said.Checks[19].New || said.Checks[19].Tray != nil {
		t.Errorf("last check %+v", last)
	}
	p := width.Points[20]
	if width.Measure != "width" || width.House != (limitsJSON{32, 35, 38}) || p.Check != 21 || p.Mean != 38 || p.Slices != 3 || !(p.MeanLow < width.Centre && width.Centre < p.MeanHigh && p.MeanHigh < 38) || !(p.SDLow <= p.SD && p.SD <= p.SDHigh) {
		t.Errorf("width %+v, last point %+v", width, p)
	}
	// The means before it lie on one side of a centre that it has moved.
	if s := width.Signals[len(width.Signals)-1]; s.Check != 21 || s.Chart != "mean" || !s.New || !s.Known || width.Signals[0].New || width.Signals[0].Known || width.Shares[1].Count != 1 || width.Shares[1].Side != "wide" || width.Shares[0].Count != 0 {
		t.Errorf("signals %+v, shares %+v", width.Signals, width.Shares)
	}
	for full, mean := range map[bool]string{false: "38", true: "38.00333333333333"} {
		var out bytes.Buffer
		fatal.If(t, l.CSV(&out, full))
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil || len(rows) != 1+3*21 {
			t.Fatalf("%d rows, %v", len(rows), err)
		}
		cells := map[string]string{}
		for i, head := range rows[0] {
			cells[head] = rows[42][i]
		}
		if cells["check"] != "21" || cells["measure"] != "width" || cells["mean"] != mean || cells["house_high"] != "38" || cells["remarks"] != "'=new board" || cells["rests_on_mat"] != "a4" || !strings.HasPrefix(cells["signals"], "mean: Western Electric 1") {
			t.Errorf("full %v: %v", full, cells)
		}
	}
}

// Where nobody says which shift of the mean matters, it is half the way from the aim to
// the nearer limit: of 32, 35 and 38 mm, 1.5 mm.
func TestShiftThatMatters(t *testing.T) {
	l := lineOf([]float64{34, 35, 36}, []float64{34.5, 35, 35.5}, []float64{34, 35, 35.5})
	see := measure(t, l, "width").See
	if see.Shift != 1.5 || see.Usual != 3 {
		t.Errorf("%+v", see)
	}
	if see.Now <= 0 || see.Now > 1 || see.Needed < 1 {
		t.Errorf("%+v", see)
	}
}
