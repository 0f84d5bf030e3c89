package worker

import (
	"runtime"
	"slices"
	"testing"
)

// Workers part a photo among processors only where some are left for it.
func TestWorkersThatFillAllProcessorsTakeOneEach(t *testing.T) {
	all := runtime.NumCPU()
	for workers, want := range map[int]bool{all: true, all + 1: true, all - 1: false} {
		p := &Pool{options: Options{Workers: workers}}
		if got := slices.Contains(p.env(), oneEach); got != want {
			t.Errorf("%d workers on %d processors: one each %v, want %v", workers, all, got, want)
		}
	}
}
