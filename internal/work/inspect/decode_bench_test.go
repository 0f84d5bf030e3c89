package inspect

import (
	"bytes"
	"image/jpeg"
	"testing"
)

// BenchmarkDecode is the floor that BenchmarkCheck is held against: Go's own
// decoder on the same bytes and nothing else.
func BenchmarkDecode(b *testing.B) {
	data := phonePhoto(b)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
	}
}
