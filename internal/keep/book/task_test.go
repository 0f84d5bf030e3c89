package book

import (
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/task"
)

func TestTasks(t *testing.T) {
	b := open4test(t)
	fill(t, b)
	first := task.Task{Name: "Ten of tuna", Species: "tuna", Block: task.Block{Length: 200, Width: 70, Height: 25}, Slices: 10, Minutes: 12.5, Practice: true}
	changed := first
	changed.Slices = 12
	for _, err := range []error{
		b.SetTask(t.Context(), task.Task{Name: "Five", Slices: 5}), b.SetTask(t.Context(), first),
		b.Assign(t.Context(), "Monday", first), b.SetReference(t.Context(), "Monday", "abc"), b.SetTask(t.Context(), changed),
	} {
		fatal.If(t, err)
	}
	if err := b.SetTask(t.Context(), task.Task{Name: "none"}); err == nil {
		t.Error("a task of no slices was kept")
	}
	all, err := b.Tasks(t.Context())
	found := false
	for _, x := range all {
		found = found || x == changed
	}
	if err != nil || len(all) != 3 || !found { // one is of fill
		t.Errorf("%+v, %v", all, err)
	}
	a, err := b.Assignment(t.Context(), "Monday")
	if err != nil || a.Task == nil || *a.Task != first || a.Reference != "abc" {
		t.Errorf("%+v, %v", a, err)
	}
	if a, err := b.Assignment(t.Context(), "Tuesday"); err != nil || a != (Assignment{}) {
		t.Errorf("%+v, %v", a, err)
	}
	fatal.If(t, b.SetReference(t.Context(), "Monday", ""))
	if a, err := b.Assignment(t.Context(), "Monday"); err != nil || a.Reference != "" || a.Task == nil {
		t.Errorf("%+v, %v", a, err)
	}
	fatal.If(t, b.DropTask(t.Context(), "Ten of tuna"))
	if all, err := b.Tasks(t.Context()); err != nil || len(all) != 2 {
		t.Errorf("%+v, %v", all, err)
	}
}
