package worker

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// A frame is what a worker and its server send each other: the word "tray", the
// length of a JSON head and of a body as big-endian numbers of 4 and 8 bytes,
// then both.
const (
	frameWord = "tray"
	maxHead   = 8 << 20 // a report of the largest tray takes some 200 kB
)

var errFrame = errors.New("it is no frame")

// writeFrame sends head and exactly size bytes of body.
func writeFrame(w io.Writer, head any, body io.Reader, size int64) error {
	text, err := json.Marshal(head)
	if err != nil {
		return err
	}
	start := append(make([]byte, 0, 16+len(text)), frameWord...)
	start = binary.BigEndian.AppendUint32(start, uint32(len(text)))
	start = binary.BigEndian.AppendUint64(start, uint64(size))
	if _, err := w.Write(append(start, text...)); err != nil {
		return err
	}
	_, err = io.CopyN(w, body, size)
	return err
}

// readFrame reads one frame: head is filled from its JSON, the body comes back
// whole and no longer than max. The end of r before a frame is io.EOF.
func readFrame(r io.Reader, head any, max int64) ([]byte, error) {
	var start [16]byte
	if _, err := io.ReadFull(r, start[:]); err != nil {
		return nil, err
	}
	n, size := binary.BigEndian.Uint32(start[4:]), binary.BigEndian.Uint64(start[8:])
	switch {
	case string(start[:4]) != frameWord:
		return nil, errFrame
	case n > maxHead || size > uint64(max):
		return nil, fmt.Errorf("%w: %d and %d bytes are too many", errFrame, n, size)
	}
	text, err := readN(r, int64(n))
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text, head); err != nil {
		return nil, fmt.Errorf("%w: %w", errFrame, err)
	}
	return readN(r, int64(size))
}

// readN reads n bytes; memory grows with what comes, not with what is claimed.
func readN(r io.Reader, n int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, n))
	if err == nil && int64(len(data)) < n {
		err = io.ErrUnexpectedEOF
	}
	return data, err
}
