// Package uploadtest makes uploads as strangers and broken phones send them,
// for tests: damaged, cut, mislabelled and hostile pictures. Each is small and
// the same on every run; none holds anything that was found elsewhere.
package uploadtest

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"math/rand/v2"
)

// Malformed is upload number i, made from a sound JPEG.
func Malformed(sound []byte, i int) []byte {
	random := rand.New(rand.NewPCG(7, uint64(i)))
	data := bytes.Clone(sound)
	switch i % 12 {
	case 0: // noise in the head
		return noisy(random, data, 40, 1000)
	case 1: // noise anywhere
		return noisy(random, data, 40, len(data))
	case 2: // cut anywhere
		return data[:random.IntN(len(data))]
	case 3: // a hole
		at := random.IntN(len(data))
		return append(data[:at:at], data[at+random.IntN(len(data)-at):]...)
	case 4: // two in one
		return append(data, data[:random.IntN(len(data))]...)
	case 5: // a head of any size
		return size(data, uint16(random.Uint32()), uint16(random.Uint32()))
	case 6: // no size at all
		return size(data, 0, uint16(random.Uint32()))
	case 7: // a PNG that claims a size and ends
		return png(random.Uint32()>>random.IntN(32), random.Uint32()>>random.IntN(32), random.IntN(17), random.IntN(7), nil)
	case 8: // a PNG of a usual size whose pixels are noise
		return png(4000, 3000, 8, 2, bytesOf(random, 5000))
	case 9: // a HEIC's first box, then noise
		return append([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), append(ispe(random), bytesOf(random, 3000)...)...)
	case 10: // only noise, of any length
		return bytesOf(random, random.IntN(20_000))
	}
	// segments of any length
	out := []byte("\xff\xd8")
	for range random.IntN(50) {
		out = append(out, 0xff, byte(0xc0+random.IntN(64)), byte(random.IntN(3)), byte(random.IntN(256)))
		out = append(out, bytesOf(random, random.IntN(300))...)
	}
	return out
}

// Mutated is a sound file with some bytes changed in its head, or anywhere, or one
// length or count made very large: what a decoder takes furthest.
func Mutated(sound []byte, i int) []byte {
	random := rand.New(rand.NewPCG(11, uint64(i)))
	data := bytes.Clone(sound)
	within := []int{600, 4000, len(data)}[i%3]
	for range 1 + random.IntN(8) {
		at := 3 + random.IntN(min(within, len(data))-8)
		switch random.IntN(3) {
		case 0:
			data[at] = byte(random.Uint32())
		case 1:
			data[at] ^= 1 << random.IntN(8)
		case 2:
			copy(data[at:], "\xff\xff\xff\x7f"[:1+random.IntN(4)])
		}
	}
	return data
}

func noisy(random *rand.Rand, data []byte, n, within int) []byte {
	for range n {
		data[3+random.IntN(within-3)] = byte(random.Uint32())
	}
	return data
}

func bytesOf(random *rand.Rand, n int) []byte {
	out := make([]byte, n)
	for i := range out {
		out[i] = byte(random.Uint32())
	}
	return out
}

// size writes another height and width into a JPEG's frame header (ITU-T T.81,
// B.2.2: marker C0 or C2, length, precision, height, width).
func size(data []byte, h, w uint16) []byte {
	for i := 2; i+9 < len(data); i++ {
		if data[i] == 0xff && (data[i+1] == 0xc0 || data[i+1] == 0xc2) {
			binary.BigEndian.PutUint16(data[i+5:], h)
			binary.BigEndian.PutUint16(data[i+7:], w)
			break
		}
	}
	return data
}

// png is a PNG's first chunk, and one of pixels when there are any.
func png(w, h uint32, depth, colour int, pixels []byte) []byte {
	head := binary.BigEndian.AppendUint32(nil, w)
	head = binary.BigEndian.AppendUint32(head, h)
	head = append(head, byte(depth), byte(colour), 0, 0, 0)
	out := chunk([]byte("\x89PNG\r\n\x1a\n"), "IHDR", head)
	if pixels != nil {
		out = chunk(out, "IDAT", pixels)
		out = chunk(out, "IEND", nil)
	}
	return out
}

func chunk(out []byte, name string, data []byte) []byte {
	out = binary.BigEndian.AppendUint32(out, uint32(len(data)))
	body := append([]byte(name), data...)
	return binary.BigEndian.AppendUint32(append(out, body...), crc32.ChecksumIEEE(body))
}

// ispe is a box that says how large a HEIC's picture is (ISO/IEC 23008-12).
func ispe(random *rand.Rand) []byte {
	out := []byte("\x00\x00\x00\x14ispe\x00\x00\x00\x00")
	out = binary.BigEndian.AppendUint32(out, uint32(random.IntN(9000)))
	return binary.BigEndian.AppendUint32(out, uint32(random.IntN(9000)))
}
