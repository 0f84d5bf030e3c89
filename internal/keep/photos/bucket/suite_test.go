package bucket

import (
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/photos/photostest"
	"netagauge/internal/keep/photos/s3test"
)

// at opens the store at an address.
func at(t testing.TB, address string) *Store {
	t.Helper()
	a, err := Parse(address)
	fatal.If(t, err)
	s, err := Open(a, t.TempDir())
	fatal.If(t, err)
	return s
}

func bench(t *testing.T, address string, many int) photostest.Bench {
	return photostest.Bench{Store: at(t, address), Arriving: t.TempDir(), Many: many, Again: func() photos.Store { return at(t, address) }}
}

func TestWithinTheTest(t *testing.T) {
	photostest.Run(t, func(t *testing.T) photostest.Bench {
		return bench(t, s3test.Address(s3test.StartFake(t).URL, ""), 2500)
	})
}

// As a process, each time in a part of the bucket of its own.
func TestAsAProcess(t *testing.T) {
	p := s3test.StartProcess(t)
	n := 0
	photostest.Run(t, func(t *testing.T) photostest.Bench {
		n++
		return bench(t, s3test.Address(p.URL, "many/kitchen-"+string(rune('a'+n))), 1200)
	})
}
