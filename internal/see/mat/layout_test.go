package mat

import (
	"encoding/json"
	"fmt"
	"math"
	"math/bits"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/calibration"
)

// reference is a mat as calibration/mat-*.json defines it: written by a separate Python script that
// draws the mats with OpenCV and checks every tag with the AprilTag C library.
type reference struct {
	Paper     [2]float64
	Field     [4]float64
	FieldSRGB [3]uint8 `json:"field_srgb"`
	ModuleMM  float64  `json:"module_mm"`
	TagMM     float64  `json:"tag_mm"`
	CellMM    float64  `json:"cell_mm"`
	Tags      []struct {
		ID      int
		Corners [4][2]float64
		Modules [8]string
	}
	Patches []struct {
		SRGB [3]uint8
		Rect [4]float64
	}
	Ruler struct {
		LenMM   [3]float64 `json:"len_mm"`
		ThickMM float64    `json:"thick_mm"`
		Bottom  struct {
			BaseY float64 `json:"base_y"`
			X0    float64
			X1    float64
		}
		Left struct {
			BaseX float64 `json:"base_x"`
			Y0    float64
			Y1    float64
		}
	}
	CheckBar struct{ X0, X1, Y float64 } `json:"check_bar"`
}

func loadReference(t *testing.T, name string, data []byte) reference {
	t.Helper()
	var ref reference
	if err := json.Unmarshal(data, &ref); err != nil {
		t.Fatalf("mat-%s.json: %v", name, err)
	}
	return ref
}

// roundingMM is what the reference files lose by keeping four decimals.
const roundingMM = 0.00005 + 1e-9

func TestLayoutAgainstReference(t *testing.T) {
	for _, name := range []string{"a3", "a4", "a3-margin", "a4-margin", "letter-margin", "tabloid-margin"} {
		t.Run(name, func(t *testing.T) {
			data, err := calibration.Mats.ReadFile("mat-" + name + ".json")
			if err != nil {
				t.Fatal(err)
			}
			ref := loadReference(t, name, data)
			l, err := ByName(name)
			if err != nil {
				t.Fatal(err)
			}
			checkSheet(t, l, ref)
			checkTags(t, l, ref)
			checkMarks(t, l, ref)
		})
	}
}

func checkSheet(t *testing.T, l Layout, ref reference) {
	near(t, "paper", l.Paper, ref.Paper)
	nearBox(t, "field", l.Field, ref.Field)
	if got := [3]uint8{l.FieldColor.R, l.FieldColor.G, l.FieldColor.B}; got != ref.FieldSRGB {
		t.Errorf("field colour %v, want %v", got, ref.FieldSRGB)
	}
	got, want := [3]float64{l.TagMM, l.ModuleMM, l.CellMM}, [3]float64{ref.TagMM, ref.ModuleMM, ref.CellMM}
	if got != want {
		t.Errorf("tag, module, cell mm %v, want %v", got, want)
	}
}

func checkTags(t *testing.T, l Layout, ref reference) {
	if len(l.Tags) != len(ref.Tags) {
		t.Fatalf("%d tags, want %d", len(l.Tags), len(ref.Tags))
	}
	for i, want := range ref.Tags {
		got := l.Tags[i]
		if got.ID != want.ID || got.Modules != want.Modules {
			t.Errorf("tag %d: id %d modules\n%s\nwant id %d\n%s", i, got.ID,
				strings.Join(got.Modules[:], "\n"), want.ID, strings.Join(want.Modules[:], "\n"))
		}
		for k := range want.Corners {
			near(t, fmt.Sprintf("tag %d corner %d", want.ID, k), got.Corners[k], want.Corners[k])
		}
	}
}

func checkMarks(t *testing.T, l Layout, ref reference) {
	if len(l.Patches) != len(ref.Patches) {
		t.Fatalf("%d patches, want %d", len(l.Patches), len(ref.Patches))
	}
	for i, want := range ref.Patches {
		nearBox(t, fmt.Sprintf("patch %d", i), l.Patches[i].Box, want.Rect)
		if l.Patches[i].Gray != want.SRGB[0] {
			t.Errorf("patch %d gray %d, want %d", i, l.Patches[i].Gray, want.SRGB[0])
		}
	}
	near(t, "check bar from", l.CheckBar.From, [2]float64{ref.CheckBar.X0, ref.CheckBar.Y})
	near(t, "check bar to", l.CheckBar.To, [2]float64{ref.CheckBar.X1, ref.CheckBar.Y})

	b, left := ref.Ruler.Bottom, ref.Ruler.Left
	near(t, "bottom ruler from", l.Rulers[0].From, [2]float64{b.X0, b.BaseY})
	near(t, "bottom ruler to", l.Rulers[0].To, [2]float64{b.X1, b.BaseY})
	near(t, "left ruler from", l.Rulers[1].From, [2]float64{left.BaseX, left.Y0})
	near(t, "left ruler to", l.Rulers[1].To, [2]float64{left.BaseX, left.Y1})
	if got := [3]float64{tickOne, tickFive, tickTen}; got != ref.Ruler.LenMM || tickWide != ref.Ruler.ThickMM {
		t.Errorf("ticks %v thick %v, want %v thick %v", got, tickWide, ref.Ruler.LenMM, ref.Ruler.ThickMM)
	}
}

func near(t *testing.T, what string, got r2.Vec, want [2]float64) {
	t.Helper()
	if math.Abs(got.X-want[0]) > roundingMM || math.Abs(got.Y-want[1]) > roundingMM {
		t.Errorf("%s at %v mm, want %v", what, got, want)
	}
}

func nearBox(t *testing.T, what string, got r2.Box, want [4]float64) {
	t.Helper()
	near(t, what+" top-left", got.Min, [2]float64{want[0], want[1]})
	near(t, what+" bottom-right", got.Max, [2]float64{want[2], want[3]})
}

// The family's name promises 36 bits and a Hamming distance of at least 11
// between any two tags in any turn (Olson, AprilTag, ICRA 2011).
func TestCodesKeepTheirDistance(t *testing.T) {
	for i := range tag36h11 {
		for j := range tag36h11 {
			turned := modules(j)
			for turn := range 4 {
				if d := distance(modules(i), turned); (i != j || turn > 0) && d < 11 {
					t.Errorf("tags %d and %d, turned %d times, differ in %d bits only", i, j, turn, d)
				}
				turned = quarterTurn(turned)
			}
		}
	}
}

func quarterTurn(m [8]string) [8]string {
	var out [8]string
	for r := range 8 {
		row := make([]byte, 8)
		for c := range 8 {
			row[c] = m[7-c][r]
		}
		out[r] = string(row)
	}
	return out
}

func distance(a, b [8]string) int {
	pack := func(m [8]string) uint64 {
		v, _ := strconv.ParseUint(strings.Join(m[:], ""), 2, 64)
		return v
	}
	return bits.OnesCount64(pack(a) ^ pack(b))
}

// Every mat keeps the rule: no tag id twice, nothing printed over a tag's white
// cell, everything on the paper.
func TestEveryLayoutIsSound(t *testing.T) {
	want := map[string]int{"a3": 26, "a4": 20, "letter": 18, "tabloid": 26, "a3-margin": 26, "a4-margin": 20, "letter-margin": 18, "tabloid-margin": 26}
	owner := map[int]string{}
	for _, l := range Layouts() {
		if len(l.Tags) != want[l.Name] {
			t.Errorf("%s has %d tags, want %d", l.Name, len(l.Tags), want[l.Name])
		}
		for _, tag := range l.Tags {
			if other, taken := owner[tag.ID]; taken {
				t.Errorf("tag %d is on %s and on %s", tag.ID, other, l.Name)
			}
			owner[tag.ID] = l.Name
			if found, ok := ByTag(tag.ID); !ok || found.Name != l.Name {
				t.Errorf("ByTag(%d) = %q, %v, want %q", tag.ID, found.Name, ok, l.Name)
			}
			checkCellIsFree(t, l, tag)
		}
	}
	for _, id := range []int{-1, 26, 39, 60, 79, 98, 119, 146, 159, 180, 189, 216, 224, 243, 249, 276, 586} {
		if l, ok := ByTag(id); ok {
			t.Errorf("ByTag(%d) = %q, want none", id, l.Name)
		}
	}
	if _, err := ByName("b5"); err == nil || !strings.Contains(err.Error(), "tabloid") {
		t.Errorf("ByName of an unknown paper says %v, want the papers there are", err)
	}
}

func checkCellIsFree(t *testing.T, l Layout, tag Tag) {
	t.Helper()
	cell := square(r2.Scale(0.5, r2.Add(tag.Corners[0], tag.Corners[2])), l.CellMM)
	marks := map[string]r2.Box{"the field": l.Field, "the QR code": l.QR, "the label": l.Label}
	for i, n := range l.Notes {
		marks[fmt.Sprintf("note %d", i)] = n
	}
	for i, p := range l.Patches {
		marks[fmt.Sprintf("patch %d", i)] = p.Box
	}
	for _, r := range l.Rulers {
		for _, tick := range r.Ticks() {
			marks[fmt.Sprintf("the tick at %v", tick.Center())] = tick
		}
	}
	for what, box := range marks {
		if overlap(cell, box) {
			t.Errorf("%s: %s lies over the cell of tag %d", l.Name, what, tag.ID)
		}
		if box.Min.X < 0 || box.Min.Y < 0 || box.Max.X > l.Paper.X || box.Max.Y > l.Paper.Y {
			t.Errorf("%s: %s lies off the paper", l.Name, what)
		}
	}
}

func overlap(a, b r2.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// The ids of the margin mats are those that the definition gives: A4 from 160, A3
// from 190, Letter from 225, Tabloid from 250. Everything on them keeps 8 mm from
// the paper's edge, so that every printer prints it; the field is no more than 8 mm
// smaller than that of the edge mat.
func TestMarginMats(t *testing.T) {
	for size, first := range map[string]int{"a4": 160, "a3": 190, "letter": 225, "tabloid": 250} {
		l, err := ToPrint(size, false)
		if err != nil || l.Name != size+"-margin" || l.Tags[0].ID != first {
			t.Fatalf("%s: %q with tags from %d, %v", size, l.Name, l.Tags[0].ID, err)
		}
		edge, err := ToPrint(size, true)
		if err != nil || edge.Name != size || edge.Paper != l.Paper {
			t.Errorf("%s at the edge: %q, %v", size, edge.Name, err)
		}
		inner := r2.NewBox(8, 8, l.Paper.X-8, l.Paper.Y-8)
		boxes := append([]r2.Box{l.Field, l.QR, l.Label,
			r2.NewBox(l.CheckBar.From.X, l.CheckBar.From.Y-capHalf, l.CheckBar.To.X, l.CheckBar.To.Y+capHalf)}, l.Notes...)
		for _, p := range l.Patches {
			boxes = append(boxes, p.Box)
		}
		for _, tag := range l.Tags {
			boxes = append(boxes, square(r2.Scale(0.5, r2.Add(tag.Corners[0], tag.Corners[2])), l.CellMM))
		}
		for _, r := range l.Rulers {
			boxes = append(boxes, r.Ticks()...)
			for mm, at := range r.Numbers() {
				if mm%10 != 0 || mm <= 0 {
					t.Errorf("%s: a ruler counts %d", size, mm)
				}
				boxes = append(boxes, r2.NewBox(at.X, at.Y, at.X+1, at.Y+1))
			}
		}
		for _, b := range boxes {
			if b.Min.X < inner.Min.X-1e-9 || b.Min.Y < inner.Min.Y-1e-9 || b.Max.X > inner.Max.X+1e-9 || b.Max.Y > inner.Max.Y+1e-9 {
				t.Errorf("%s: %v is nearer than 8 mm to the edge of %v", size, b, l.Paper)
			}
		}
		if d := r2.Sub(edge.Field.Size(), l.Field.Size()); d.X > 8 || d.Y > 8 {
			t.Errorf("%s: the field is %v mm smaller", size, d)
		}
	}
	if _, err := ToPrint("b5", false); err == nil {
		t.Error("a mat for b5")
	}
}
