package book

import (
	"context"
	"reflect"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

func TestRepeatIsKept(t *testing.T) {
	ctx := context.Background()
	b, err := Temporary(ctx)
	fatal.If(t, err)
	defer b.Close()
	if _, done, err := b.LastRepeat(ctx); done || err != nil {
		t.Fatalf("a new book has a comparison (%v)", err)
	}
	want := Repeat{Photos: 3, Slices: 7, Mat: "a3", SD: map[string]float64{"length_mm": 0.1, "width_mm": 0.2}}
	for _, r := range []Repeat{{Photos: 2, SD: map[string]float64{}}, want} {
		fatal.If(t, b.AddRepeat(ctx, r))
	}
	got, done, err := b.LastRepeat(ctx)
	if err != nil || !done || time.Since(got.DoneAt) > time.Minute {
		t.Fatalf("%+v, %v, %v", got, done, err)
	}
	got.DoneAt = time.Time{}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("kept %+v, want %+v", got, want)
	}
}
