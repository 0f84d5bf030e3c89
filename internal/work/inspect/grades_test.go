package inspect

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
)

var update = flag.Bool("update", false, "rewrite testdata/grades.md")

const gradesFile = "../../../testdata/grades.md"

// What each sample tray gets under the built-in scheme, and why: with nothing told,
// with one thickness for all slices and with each slice on a scale (thickness and
// weights are the truth's). One thickness must earn and cost nothing for weight.
func TestGradesOfSamples(t *testing.T) {
	var b strings.Builder
	house := standard.Default()
	fmt.Fprintf(&b, "# What each sample tray gets, and why\n\nWritten by `go test ./internal/work/inspect -run GradesOfSamples -update` under the built-in standard. %s.\n", phrase.English().Must(house.Counting()))
	for _, name := range []string{"tray-a4", "tray-triangles", "tray-card", "tray-laid"} {
		data, tr := sample(t, name)
		in := input(name, data)
		first := check(t, in)
		_, match := entered(t, first, tr)
		mean := 0.0
		var weights []string
		for number, i := range match {
			mean += tr.Slices[i].Thickness / float64(len(match))
			weights = append(weights, fmt.Sprintf("%d:%.1f", number, tr.Slices[i].Mass))
		}
		slices.Sort(weights)
		var before grade.Grade
		for _, told := range []struct{ says, thickness, weights string }{
			{"nothing told", "", ""}, {"one thickness told for all", strconv.FormatFloat(mean, 'f', 1, 64), ""}, {"each slice on a scale", "", strings.Join(weights, ",")},
		} {
			r := first
			if in.Ticket.Thickness, in.Ticket.Weights = told.thickness, told.weights; told.thickness+told.weights != "" {
				r = check(t, in)
			}
			g := grade.Of([]grade.Tray{{File: name, Report: r}}, 0, house)
			if told.thickness != "" && g.Of != before.Of {
				t.Errorf("%s: %v points to be had with one thickness, %v with none", name, g.Of, before.Of)
			}
			before = g
			writeGrade(&b, name+", "+told.says, phrase.English().Must(r.Count().Says()), g)
		}
	}
	if *update {
		if err := os.WriteFile(gradesFile, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(gradesFile)
	if err != nil || string(want) != b.String() {
		t.Errorf("%s changed (%v); got\n%s\nIf that is meant, run the test with -update and read the difference", gradesFile, err, b.String())
	}
}

func writeGrade(b *strings.Builder, title, count string, g grade.Grade) {
	percent, _ := g.Percent()
	fmt.Fprintf(b, "\n## %s\n\n%s. **%.0f %%** of %.0f points.\n\n| criterion | points | because | rests on |\n| --- | --- | --- | --- |\n", title, count, percent, g.Of)
	for _, c := range g.Criteria {
		points := "no data"
		if c.Judged {
			points = fmt.Sprintf("%.0f of %d", c.Points, c.Of)
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s |\n", c.Name, points, phrase.English().Must(c.Why), phrase.English().Must(c.Rests))
	}
}
