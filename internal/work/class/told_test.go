package class

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/judge/weight"
	"netagauge/internal/work/record"
)

func TestParseWeights(t *testing.T) {
	for _, text := range []string{
		"\ufeffSlice, Photo ,grams,note\n1,a.jpg,11.8,\n2,a.jpg,,fell\n1,b/c.jpg, 12 ,\n3,a.jpg,12.4,\n",
		"Slice;Photo;grams\n1;a.jpg;11,8\n2;a.jpg;\n1;b/c.jpg;12\n3;a.jpg;12,4\n",
		"photo\tslice\tgrams\na.jpg\t1\t11.8\nb/c.jpg\t1\t12\na.jpg\t3\t12.4\n",
		"photo,slice,grams\na.jpg,1,\"11,8\"\nb/c.jpg,1,12\na.jpg,3,\"12,4\"\n",
	} {
		got := Told{}
		if err := parseWeights(text, got); err != nil || len(got) != 2 || got["a.jpg"].Weights != "1:11.8,3:12.4" || got["b/c.jpg"].Weights != "1:12" {
			t.Errorf("%q: %q, %v", text, got, err)
		}
	}
	thousands := Told{} // 1,200 between commas is left for the ticket to refuse
	if err := parseWeights("photo,slice,grams\na.jpg,1,\"1,200\"\n", thousands); err != nil || thousands["a.jpg"].Weights != "1:1,200" {
		t.Errorf("%q, %v", thousands, err)
	}
	for text, want := range map[string]string{
		"": "head line", "photo,grams\n": "must name the columns", "photo,slice,grams\n,1,12\n": "line 2", "photo,slice,grams\na.jpg,,12\n": "line 2", "photo,slice,grams\na\n": "other columns",
	} {
		if err := parseWeights(text, Told{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v; want an error that says %q", text, err, want)
		}
	}
}

// Fish and thickness of a tray, also slice by slice, in a sheet as spreadsheets
// write it with decimal commas.
func TestParseTrays(t *testing.T) {
	got := Told{"a.jpg": {Weights: "1:12"}}
	fatal.If(t, parseTrays("photo;species;thickness\na.jpg;鮭;4,2\nb.jpg;;3\nc.jpg;tuna;\nd.jpg;;1:4.2,2:3.9\n", got))
	want := Told{"a.jpg": {"鮭", "4.2", "1:12"}, "b.jpg": {"", "3", ""}, "c.jpg": {"tuna", "", ""}, "d.jpg": {"", "1:4.2,2:3.9", ""}}
	if !maps.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	for text, want := range map[string]string{
		"species\ntuna\n": "must name the columns photo", "photo,species\n,tuna\n": "line 2", "photo,species\na.jpg,tuna\na.jpg,squid\n": "line 3",
	} {
		if err := parseTrays(text, Told{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v; want an error that says %q", text, err, want)
		}
	}
}

func FuzzParseSheets(f *testing.F) {
	f.Add("photo,slice,grams\na.jpg,1,11.8\n")
	f.Add("\"photo\";slice;grams\n\"a,b\";1;\"1:2\"\n")
	f.Add("photo\tspecies\tthickness\na\ttuna\t4\n")
	f.Fuzz(func(t *testing.T, text string) {
		for _, parse := range []func(string, Told) error{parseWeights, parseTrays} {
			told := Told{}
			err := parse(text, told)
			for file := range told {
				if err == nil && file == "" {
					t.Errorf("%q tells of no photo", text)
				}
			}
		}
	})
}

// Readings go onto the ticket of their tray and no other; what cannot be is said
// before a photo is opened.
func TestWeightsOfTrays(t *testing.T) {
	dir := folderOf(t, "a.jpg", "b.jpg")
	trays, err := Trays(dir)
	fatal.If(t, err)
	job4 := ticket.Ticket{Standard: standard.Default()}
	if w, err := LoadTold(dir, trays, job4); len(w) > 0 || err != nil {
		t.Errorf("without a file: %v, %v", w, err)
	}
	write := func(text string) {
		t.Helper()
		fatal.If(t, os.WriteFile(filepath.Join(dir, WeightsFile), []byte("photo,slice,grams\n"+text), 0o600))
	}
	for text, want := range map[string]string{"c.jpg,1,12\n": `no tray "c.jpg"`, "a.jpg,1,heavy\n": "a.jpg", "a.jpg,0,12\n": "a.jpg", "a.jpg,1,12\na.jpg,1,12\n": "twice"} {
		write(text)
		if w, err := LoadTold(dir, trays, job4); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v, %v; want an error that says %q", text, w, err, want)
		}
	}
	of := ticket.Ticket{Pitch: "8", LayAngle: "35", Profile: &weight.Profile{Species: "salmon", Cutter: "Ann"}}
	if got := (Told{"b.jpg": {Thickness: "4.2"}}).of(of, "b.jpg"); got.Thickness != "4.2" || got.Sources() != 1 {
		t.Errorf("a tray's own thickness stands beside the class's profile or pitch: %+v", got)
	}
	write("a.jpg,1,11.8\n")
	fatal.If(t, os.WriteFile(filepath.Join(dir, TraysFile), []byte("photo,species,thickness\nb.jpg,salmon,4.2\n"), 0o600))
	j := job(t, temporary(t), dir, nil)
	if j.Told, err = LoadTold(dir, trays, job4); err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	j.Workers = 1
	j.Measure = func(_ context.Context, tray record.Tray) (record.Result, error) {
		got[tray.First.Name] = strings.Join([]string{tray.Ticket.Species, tray.Ticket.Thickness, tray.Ticket.Weights}, "/")
		return record.Result{Report: measured(tray.First.Name)}, nil
	}
	if _, err := j.Do(t.Context()); err != nil || got["a.jpg"] != "//1:11.8" || got["b.jpg"] != "salmon/4.2/" {
		t.Errorf("%q, %v", got, err)
	}
}
