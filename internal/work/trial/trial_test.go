package trial

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/coverage"
	"netagauge/internal/judge/ticket"
	"netagauge/testdata/photos"
)

// A sample tray as a folder of photos with their truth: the truth of the samples
// has other names, so it is written anew as the trays to try have it.
func sampleFolder(t *testing.T, name string) string {
	t.Helper()
	dir := t.TempDir()
	data, err := photos.Files.ReadFile(name + ".jpg")
	fatal.If(t, err)
	text, err := photos.Files.ReadFile(name + truthEnd)
	fatal.If(t, err)
	var sample struct {
		Slices []struct {
			Outline   [][2]float64 `json:"outline_mm"`
			Thickness float64      `json:"thickness_mm"`
			Mass      float64      `json:"mass_g"`
			Lay       float64      `json:"knife_angle_deg"`
		} `json:"slices"`
	}
	fatal.If(t, json.Unmarshal(text, &sample))
	var out truth
	for _, s := range sample.Slices {
		out.Slices = append(out.Slices, Slice{Outline: s.Outline, Thickness: s.Thickness, Mass: s.Mass, LayAngle: s.Lay, Density: 1.05})
	}
	touching := 0
	out.Slices[0].Touches = &touching
	again, err := json.Marshal(out)
	fatal.If(t, err)
	for end, data := range map[string][]byte{".jpg": data, truthEnd: again} {
		fatal.If(t, os.WriteFile(filepath.Join(dir, name+end), data, 0o600))
	}
	return dir
}

// Every slice that lies by itself counts once in each of its groups: length, width
// and area by the tray's turn, the weight as told without and with the lay angle.
// What is off is small, and has the sign of measured less true.
func TestResidualsOfASample(t *testing.T) {
	dir := sampleFolder(t, "tray-a4")
	found, err := Photos(dir)
	if err != nil || len(found) != 1 {
		t.Fatal(found, err)
	}
	tray, err := Read(found[0])
	fatal.If(t, err)
	free := len(tray.truth.Slices) - 1 // one was said to touch
	all, err := tray.Residuals(t.Context())
	fatal.If(t, err)
	count := map[*piece.Measure]int{}
	seen := map[[3]any]bool{}
	for _, r := range all {
		count[r.Group.Measure]++
		key := [3]any{r.Slice, r.Group.Measure, r.Group.Seen}
		if seen[key] {
			t.Errorf("slice %d counts twice in %s, %s", r.Slice, r.Group.Measure.Name(), r.Group.Seen)
		}
		seen[key] = true
		if !(r.Seen > 0) || r.Score() > 4 {
			t.Errorf("slice %d, %s: off by %.2f with %.2f seen, %.2f told", r.Slice, r.Group.Measure.Name(), r.Error, r.Seen, r.Told)
		}
		if told := r.Told > 0; told != (r.Group.Measure != piece.Length) {
			t.Errorf("%s has %.2f that was told", r.Group.Measure.Name(), r.Told)
		}
	}
	for m, want := range map[*piece.Measure]int{piece.Length: free, piece.Width: free, piece.Area: free, piece.Weight: 2 * free} {
		if count[m] != want {
			t.Errorf("%d residuals of %s, want %d", count[m], m.Name(), want)
		}
	}
	bare, err := tray.measure(t.Context(), tray.second, ticket.Ticket{})
	fatal.If(t, err)
	for _, r := range tray.residuals(bare) {
		p := bare.Pieces[r.Slice-1]
		s := tray.truth.of(p)
		if r.Group.Measure == piece.Length && math.Abs(r.Error-(p.Length.X-s.size.Length)) > 1e-12 {
			t.Errorf("slice %d is off by %.3f, want %.3f", r.Slice, r.Error, p.Length.X-s.size.Length)
		}
		if u := r.U(coverage.Measured().Of(r.Group.Measure, p.Seen)); math.Abs(u-r.Group.Measure.Of(&p).U) > 1e-9 {
			t.Errorf("slice %d, %s: parts make an interval of %.3f, want %.3f", r.Slice, r.Group.Measure.Name(), u, r.Group.Measure.Of(&p).U)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	if _, err := Photos(t.TempDir()); err == nil {
		t.Error("a folder without truth is taken")
	}
	dir := sampleFolder(t, "tray-a4")
	fatal.If(t, os.WriteFile(filepath.Join(dir, "tray-a4"+truthEnd), []byte(`{"slices":[{}]}`), 0o600))
	if _, err := Read(filepath.Join(dir, "tray-a4.jpg")); err == nil {
		t.Error("a slice without an outline is taken")
	}
}
