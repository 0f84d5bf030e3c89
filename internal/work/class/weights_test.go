package class

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/work/record"
)

func TestParseWeights(t *testing.T) {
	got, err := ParseWeights("\ufeffSlice, Photo ,grams,note\n1,a.jpg,11.8,\n2,a.jpg,,fell\n1,b/c.jpg, 12 ,\n3,a.jpg,12.4,\n")
	if err != nil || len(got) != 2 || got["a.jpg"] != "1:11.8,3:12.4" || got["b/c.jpg"] != "1:12" {
		t.Errorf("%q, %v", got, err)
	}
	for text, want := range map[string]string{
		"": "head line", "photo,grams\n": "must name the columns", "photo,slice,grams\n,1,12\n": "line 2", "photo,slice,grams\na.jpg,,12\n": "line 2", "photo,slice,grams\na\n": "wrong number of fields",
	} {
		if got, err := ParseWeights(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %q, %v; want an error that says %q", text, got, err, want)
		}
	}
}

func FuzzParseClassWeights(f *testing.F) {
	f.Add("photo,slice,grams\na.jpg,1,11.8\n")
	f.Add("\"photo\",slice,grams\n\"a,b\",1,\"1:2\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		w, err := ParseWeights(text)
		for file, told := range w {
			if err == nil && (file == "" || told == "") {
				t.Errorf("%q: %q weighs %q", text, file, told)
			}
		}
	})
}

// Readings go onto the ticket of their tray and no other; what cannot be is said
// before a photo is opened.
func TestWeightsOfTrays(t *testing.T) {
	dir := folderOf(t, "a.jpg", "b.jpg")
	trays, err := Trays(dir)
	if err != nil {
		t.Fatal(err)
	}
	job4 := ticket.Ticket{Standard: standard.Default()}
	if w, err := LoadWeights(dir, trays, job4); w != nil || err != nil {
		t.Errorf("without a file: %v, %v", w, err)
	}
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, WeightsFile), []byte("photo,slice,grams\n"+text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for text, want := range map[string]string{"c.jpg,1,12\n": `no tray "c.jpg"`, "a.jpg,1,heavy\n": "a.jpg", "a.jpg,0,12\n": "a.jpg", "a.jpg,1,12\na.jpg,1,12\n": "twice"} {
		write(text)
		if w, err := LoadWeights(dir, trays, job4); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v, %v; want an error that says %q", text, w, err, want)
		}
	}
	write("a.jpg,1,11.8\n")
	j := job(t, temporary(t), dir, nil)
	if j.Weights, err = LoadWeights(dir, trays, job4); err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	j.Workers = 1
	j.Measure = func(_ context.Context, tray record.Tray) (record.Result, error) {
		got[tray.First.Name] = tray.Ticket.Weights
		return record.Result{Report: measured(tray.First.Name)}, nil
	}
	if _, err := j.Do(t.Context()); err != nil || got["a.jpg"] != "1:11.8" || got["b.jpg"] != "" {
		t.Errorf("%q, %v", got, err)
	}
}
