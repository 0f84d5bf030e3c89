package line

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/chart"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/work/inspect"
)

// sixChecks are four even trays and two whose slices are of all thicknesses; masses
// are the scene's own, by the slices' numbers.
var sixChecks = []string{"good", "theta-flat", "thickness-scatter", "heavy-for-squid", "long-and-thin", "thickness-scatter"}

func masses(t *testing.T) map[string][]float64 {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/advice/trays.json")
	fatal.If(t, err)
	var trays []struct {
		Name   string
		Slices []struct {
			Mass float64 `json:"mass_g"`
		}
	}
	fatal.If(t, json.Unmarshal(text, &trays))
	out := map[string][]float64{}
	for _, tray := range trays {
		for _, s := range tray.Slices {
			out[tray.Name] = append(out[tray.Name], s.Mass)
		}
	}
	return out
}

// checked measures the six trays with what is told of each.
func checked(t *testing.T, told func(name string) ticket.Ticket) []Check {
	t.Helper()
	var out []Check
	for i, name := range sixChecks {
		data, err := os.ReadFile(filepath.Join("../../../testdata/advice", name+".jpg"))
		fatal.If(t, err)
		job := told(name)
		job.Standard, job.Species = standard.Default(), "salmon"
		res, err := inspect.Tray(t.Context(), inspect.Photos{First: inspect.Photo{Name: name + ".jpg", Data: data}}, job)
		fatal.If(t, err)
		out = append(out, Check{File: name, At: time.Date(2026, 11, 26, 8, 10*i, 0, 0, time.UTC), Slices: res.Report.MeasuredPieces()})
	}
	return out
}

// A line that is told one thickness for all of its slices learns nothing of how its
// weights scatter: no Cp, no chart, no cost. With the weights typed from a scale the
// chart is the true one: Cp and Cpk as the masses themselves give them by the same
// formula.
func TestCapabilityOfWeight(t *testing.T) {
	plan := ControlPlan{Standard: standard.Default(), Group: "general", PricePerKg: 40}
	one := Of("one thickness", checked(t, func(string) ticket.Ticket { return ticket.Ticket{Thickness: "4.2"} }), plan)
	m := measure(t, one, "weight")
	if m.Capability != nil || len(m.Pair.Mean) > 0 || m.Why == nil || one.Surplus != nil {
		t.Errorf("one thickness for all gives capability %+v, %d points, surplus %+v, reason %v", m.Capability, len(m.Pair.Mean), one.Surplus, m.Why)
	}

	mass := masses(t)
	var groups [][]float64
	for _, name := range sixChecks {
		groups = append(groups, mass[name])
	}
	pair, err := chart.XBarS(groups, 0)
	fatal.If(t, err)
	want, err := chart.CapabilityOf(groups, pair.Sigma, m.Band.Low, m.Band.High)
	fatal.If(t, err)
	typed := Of("weighed", checked(t, func(name string) ticket.Ticket { return ticket.Ticket{Weights: weightsOf(mass[name])} }), plan)
	got := measure(t, typed, "weight").Capability
	if got == nil {
		t.Fatal("typed weights give no capability")
	}
	t.Logf("true Cp %.2f and Cpk %.2f; stated %+v and %+v", want.Cp.Value, want.Cpk.Value, got.Cp, got.Cpk)
	for name, c := range map[string]struct{ stated, truth chart.Ratio }{"Cp": {got.Cp, want.Cp}, "Cpk": {got.Cpk, want.Cpk}} {
		if c.truth.Value < c.stated.Low || c.truth.Value > c.stated.High {
			t.Errorf("%s of the masses is %.3f, stated %.3f (%.3f to %.3f)", name, c.truth.Value, c.stated.Value, c.stated.Low, c.stated.High)
		}
		if d := c.stated.Value - c.truth.Value; d < -0.01 || d > 0.01 {
			t.Errorf("%s is stated %.3f, the masses give %.3f; a scale that shows tenths leaves 0.01", name, c.stated.Value, c.truth.Value)
		}
	}
	for i, c := range typed.Checks {
		for k, v := range piece.Weight.Values(c.Slices) {
			if d := v - mass[sixChecks[i]][k]; d < -0.051 || d > 0.051 {
				t.Errorf("check %d, slice %d weighs %.2f g, its mass is %.2f", i+1, k+1, v, mass[sixChecks[i]][k])
			}
		}
	}
}

// weightsOf is what a scale shows of slices, in tenths of a gram.
func weightsOf(grams []float64) string {
	var out []string
	for i, g := range grams {
		out = append(out, fmt.Sprintf("%d:%.1f", i+1, g))
	}
	return strings.Join(out, ",")
}
