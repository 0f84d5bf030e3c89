package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/chart"
)

var hostile = []string{
	`<script>alert(1)</script>`, `O'Brien & "Sons"`, "=1+1", "鈴木 花子", "🍣 Ann", "محمد", "שרה",
	strings.Repeat("long ", 60), "bidi \u202e evil", "nul \x00 bell \x07", "\xff\xfe", "",
}

// figures draws one of each with hostile names.
func figures(t *testing.T) map[string]Figure {
	t.Helper()
	var rows []Row
	var grades []Grade
	var points []chart.Point
	for i, name := range hostile {
		rows = append(rows, Row{name, []float64{78 + float64(i%4), 80, 81, 70 + float64(i)}})
		grades = append(grades, Grade{time.Date(2026, 9, 1+7*i, 0, 0, 0, 0, time.UTC), 50 + 3*float64(i)})
		points = append(points, chart.Point{Value: 80 + float64(i%3), Centre: 80, Low: 78.5, High: 81.5, Unit: 0.5})
	}
	rows = append(rows, Row{"no slices", nil})
	out := map[string]Figure{}
	add := func(name string, f Figure, err error) {
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[name] = f
	}
	f, err := Distribution(Letters{Title: "length", X: "length, mm"}, rows, Band{75, 80, 85})
	add("distribution", f, err)
	for i, name := range hostile {
		f, err = Progress(Letters{"Progress of " + name, "session", "grade, %", time.DateOnly}, Course{Grades: grades})
		add(fmt.Sprintf("progress-%d", i), f, err)
	}
	f, err = Progress(Letters{Title: "none"})
	add("progress-none", f, err)
	f, err = Control(Letters{Title: "mean " + hostile[0], Y: "length, mm"}, []int{1, 2, 3, 5, 6, 7, 8, 9, 10, 11, 12, 13}, points, chart.Signals(points, chart.WesternElectric), Band{74, 80, 86})
	add("control", f, err)
	return out
}

// Every SVG is well-formed XML without scripts, whatever the names; NETAGAUGE_LOOK
// names a folder to look at them in.
func TestSVGIsHarmless(t *testing.T) {
	for name, f := range figures(t) {
		svg, err := f.SVG()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if dir := os.Getenv("NETAGAUGE_LOOK"); dir != "" {
			fatal.If(t, os.WriteFile(filepath.Join(dir, name+".svg"), svg, 0o644))
		}
		d := xml.NewDecoder(bytes.NewReader(svg))
		for {
			tok, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: not XML: %v", name, err)
			}
			if e, ok := tok.(xml.StartElement); ok && strings.EqualFold(e.Name.Local, "script") {
				t.Errorf("%s: a name became a script", name)
			}
		}
	}
}

func TestPNG(t *testing.T) {
	data, err := figures(t)["distribution"].PNG()
	fatal.If(t, err)
	if _, err := png.DecodeConfig(bytes.NewReader(data)); err != nil {
		t.Error(err)
	}
}

// Each grade of one trainee has a place and its day, two of one day as well; days of
// several are told once; of many days every so many are named, the first among them.
func TestDaysUnderGrades(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 9, d, 8, 0, 0, 0, time.UTC) }
	named := func(courses ...Course) (said []string, all int) {
		f, err := Progress(Letters{Day: "2"}, courses...)
		fatal.If(t, err)
		ticks := f.plot.X.Tick.Marker.Ticks(0, 100)
		for _, tick := range ticks {
			if tick.Label != "" {
				said = append(said, tick.Label)
			}
		}
		return said, len(ticks)
	}
	mine := Course{Grades: []Grade{{day(1), 60}, {day(1), 70}, {day(3), 80}}}
	if got, _ := named(mine); strings.Join(got, " ") != "1 1 3" {
		t.Errorf("one trainee: %q", got)
	}
	if got, _ := named(mine, Course{Grades: []Grade{{day(2), 60}, {day(3), 70}}}); strings.Join(got, " ") != "1 2 3" {
		t.Errorf("two of them: %q", got)
	}
	var long Course
	for d := 1; d <= 24; d++ {
		long.Grades = append(long.Grades, Grade{day(d), 60})
	}
	if got, all := named(long); all != 24 || strings.Join(got, " ") != "1 4 7 10 13 16 19 22" {
		t.Errorf("24 days: %q of %d", got, all)
	}
}
