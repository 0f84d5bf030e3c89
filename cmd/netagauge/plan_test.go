package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/plan"
	"netagauge/testdata/photos"
)

func TestPlanCommand(t *testing.T) {
	bar := []string{"--length", "240", "--width", "56", "--height", "20"}
	for _, c := range []struct {
		name string
		args []string
		code int
		want string // in the output, or in the message
	}{
		{"table", bar, command.ExitPass, "the fibrous tip of the tail, set apart"},
		{"no tail tip", append([]string{"--no-tail-tip"}, bar...), command.ExitPass, "trim for rolls and chopping."},
		{"csv", append([]string{"--csv"}, bar...), command.ExitPass, "cut,top_near_mm"},
		{"stations", []string{"--stations", "0:42x16,120:56x22,240:60x20"}, command.ExitPass, "slices to serve"},
		{"practice", append([]string{"--practice"}, bar...), command.ExitPass, "slices to serve"},
		{"help", []string{"--help"}, command.ExitPass, "netagauge plan --length 240"},
		{"nothing", nil, command.ExitUsage, "the block's size is not given: --length MM"},
		{"no height", bar[:4], command.ExitUsage, "--height MM"},
		{"both ways", append([]string{"--stations", "0:42x16,120:56x22"}, bar...), command.ExitUsage, "not both"},
		{"stations not in order", []string{"--stations", "0:42x16,120:56x22,90:60x20"}, command.ExitUsage, "not beyond station 2"},
		{"stations garbled", []string{"--stations", "0:42"}, command.ExitUsage, "PLACE:WIDTHxHEIGHT"},
		{"too wide", []string{"--length", "240", "--width", "92", "--height", "20"}, command.ExitUsage, "Trim or split"},
		{"too high", []string{"--length", "240", "--width", "56", "--height", "40"}, command.ExitUsage, "Trim or split"},
		{"negative", []string{"--length", "240", "--width", "-5", "--height", "20"}, command.ExitUsage, "wide cannot be"},
		{"NaN", []string{"--length", "NaN", "--width", "56", "--height", "20"}, command.ExitUsage, "not a number"},
		{"no such species", append([]string{"--species", "beef"}, bar...), command.ExitUsage, "\"beef\" is not known"},
		{"tuna is heavier", append([]string{"--species", "tuna"}, bar...), command.ExitPass, "13.5"},
		{"bad density", append([]string{"--density", "7"}, bar...), command.ExitUsage, "7"},
		{"no such standard", append([]string{"--standard", "nowhere.toml"}, bar...), command.ExitUsage, "nowhere.toml"},
		{"a slope", []string{"--stations", "0:70x4/13/22,240:70x4/13/22"}, command.ExitPass, "4 mm high on your side"},
		{"an order", []string{"--slices", "30", "--stations", "0:56x20,240:56x20; 0:56x20,200:56x20"}, command.ExitPass, "Block 1: 22 slices, all it gives.\nBlock 2: 8 slices, from a piece"},
		{"an order too large", append([]string{"--slices", "99"}, bar...), command.ExitPass, "slices are missing"},
		{"an order of none", append([]string{"--slices", "-1"}, bar...), command.ExitUsage, "--slices N"},
		{"blocks without an order", []string{"--stations", "0:56x20,240:56x20; 0:56x20,200:56x20"}, command.ExitUsage, "--slices N"},
		{"an order with a wrong block", []string{"--slices", "3", "--stations", "0:56x20,240:56x20; 0:56"}, command.ExitUsage, "block 2: --stations"},
		{"a spine", append([]string{"--blade", "50"}, bar...), command.ExitPass, "spine,"},
		{"a price", append([]string{"--price", "40"}, bar...), command.ExitPass, "Each slice served costs"},
		{"bad scatter", append([]string{"--hand-tray", "50"}, bar...), command.ExitUsage, "0 to 10"},
		{"bad price", append([]string{"--price", "-1"}, bar...), command.ExitUsage, "price"},
		{"bad hand", append([]string{"--hand", "both"}, bar...), command.ExitUsage, "left or right"},
		{"two formats", append([]string{"--json", "--csv"}, bar...), command.ExitUsage, "not both"},
		{"an argument", append([]string{"240"}, bar...), command.ExitUsage, "not an option"},
		{"unknown option", []string{"--size", "3"}, command.ExitUsage, "no option --size"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, errw bytes.Buffer
			code := run(context.Background(), append([]string{"plan"}, c.args...), &out, &errw)
			if code != c.code {
				t.Errorf("exit code %d, want %d\n%s", code, c.code, errw.String())
			}
			if !strings.Contains(out.String()+errw.String(), c.want) {
				t.Errorf("%q is not said\n%s%s", c.want, out.String(), errw.String())
			}
			if c.code != command.ExitPass && out.Len() > 0 {
				t.Errorf("a refused plan printed %q", out.String())
			}
		})
	}
}

func TestPlanJSONAndFiles(t *testing.T) {
	dir := t.TempDir()
	pdf, page := filepath.Join(dir, "sheet.pdf"), filepath.Join(dir, "sheet.html")
	var out, errw bytes.Buffer
	code := run(context.Background(), []string{"plan", "--stations", "0:42x16,240:60x20", "--json", "--pdf", pdf, "--html", page}, &out, &errw)
	if code != command.ExitPass {
		t.Fatalf("exit code %d: %s", code, errw.String())
	}
	var p plan.Plan
	fatal.If(t, json.Unmarshal(out.Bytes(), &p))
	sum := 0.0
	for _, o := range p.Offcuts {
		sum += o.Weight
	}
	for _, s := range p.Slices {
		sum += s.Weight
	}
	if d := sum - p.Block; d > 0.01 || d < -1 { // crumbs below half a gram are not listed
		t.Errorf("slices and offcuts weigh %.3f g, the block %.3f", sum, p.Block)
	}
	for path, head := range map[string]string{pdf: "%PDF", page: "<!DOCTYPE html>"} {
		if data, err := os.ReadFile(path); err != nil || !strings.HasPrefix(string(data), head) {
			t.Errorf("%s does not begin with %q (%v)", path, head, err)
		}
	}
}

// An output path that cannot be written is said, and nothing is left behind.
func TestPlanUnwritable(t *testing.T) {
	dir := t.TempDir()
	var out, errw bytes.Buffer
	code := run(context.Background(), []string{"plan", "--length", "240", "--width", "56", "--height", "20", "--pdf", filepath.Join(dir, "no", "sheet.pdf")}, &out, &errw)
	if code != command.ExitUsage || !strings.Contains(errw.String(), "sheet.pdf") {
		t.Errorf("exit code %d, message %q", code, errw.String())
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// A block from its photo: the rendered block weighs 256 g (truth of the scene);
// the plan's weight of slices and ends must agree within 2 %.
func TestPlanFromPhoto(t *testing.T) {
	data, err := photos.Files.ReadFile("block.jpg")
	fatal.If(t, err)
	picture := filepath.Join(t.TempDir(), "cuts.jpg")
	code, out, errs := netagauge("plan", "--photo", file(t, "block.jpg", data), "--heights", "21.8", "--density", "1.05", "--picture", picture)
	if code != command.ExitPass {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	var grams float64
	if i := strings.Index(out, " g at 1.05"); i > 0 {
		grams, err = strconv.ParseFloat(out[strings.LastIndex(out[:i], " ")+1:i], 64)
	}
	if err != nil || math.Abs(grams-256.07) > 0.02*256.07 {
		t.Errorf("the block weighs %g g (%v), want 256 within 2 %%", grams, err)
	}
	if st, err := os.Stat(picture); err != nil || st.Size() == 0 {
		t.Errorf("no picture of the cuts: %v", err)
	}
	for _, args := range [][]string{
		{"plan", "--photo", "x.jpg"}, {"plan", "--photo", "gone.jpg", "--heights", "20"},
		{"plan", "--heights", "20"}, {"plan", "--second", "y.jpg"}, {"plan", "--photo", "x.jpg", "--second", "y.jpg", "--heights", "20"}, {"plan", "--photo", "x.jpg", "--heights", "-3"},
	} {
		if code, _, errs := netagauge(args...); code != command.ExitUsage || errs == "" {
			t.Errorf("%v: exit code %d, %q", args, code, errs)
		}
	}
}
