package worker

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

func frame(word string, head string, claimed uint64, body string) []byte {
	out := binary.BigEndian.AppendUint32([]byte(word), uint32(len(head)))
	return append(binary.BigEndian.AppendUint64(out, claimed), head+body...)
}

func TestFrameThereAndBack(t *testing.T) {
	var wire bytes.Buffer
	for _, body := range []string{"", "the bytes of a photo"} {
		fatal.If(t, writeFrame(&wire, request{Name: "tray.jpg"}, strings.NewReader(body), int64(len(body))))
	}
	for _, want := range []string{"", "the bytes of a photo"} {
		var q request
		body, err := readFrame(&wire, &q, 100)
		if err != nil || string(body) != want || q.Name != "tray.jpg" {
			t.Errorf("read %q of %+v, %v; want %q", body, q, err, want)
		}
	}
	if _, err := readFrame(&wire, new(request), 100); !errors.Is(err, io.EOF) {
		t.Errorf("after the last frame: %v, want the end", err)
	}
}

func TestBadFrames(t *testing.T) {
	for name, c := range map[string]struct {
		wire []byte
		want error
	}{
		"other word":     {frame("dish", "{}", 0, ""), errFrame},
		"no JSON":        {frame("tray", "{", 0, ""), errFrame},
		"too large":      {frame("tray", "{}", 101, ""), errFrame},
		"absurd":         {frame("tray", "{}", 1<<63, ""), errFrame},
		"head cut short": {frame("tray", "{}", 0, "")[:17], io.ErrUnexpectedEOF},
		"body cut short": {frame("tray", "{}", 9, "short"), io.ErrUnexpectedEOF},
		"start only":     {[]byte("tra"), io.ErrUnexpectedEOF},
	} {
		body, err := readFrame(bytes.NewReader(c.wire), new(request), 100)
		if !errors.Is(err, c.want) || len(body) > 0 && errors.Is(err, errFrame) {
			t.Errorf("%s: body %q, error %v, want %v", name, body, err, c.want)
		}
	}
}

// A photo shorter than it was said to be is an error of the writer, too.
func TestShortPhoto(t *testing.T) {
	if err := writeFrame(io.Discard, request{}, strings.NewReader("short"), 9); err == nil {
		t.Error("a photo of 5 bytes goes for one of 9")
	}
}

func FuzzFrame(f *testing.F) {
	f.Add(frame("tray", `{"Name":"x"}`, 3, "abc"))
	f.Add(frame("tray", `{"Second":"b","First":2}`, 3, "abc"))
	f.Add(frame("tray", `{"Second":"b","First":-2}`, 3, "abc"))
	f.Add(frame("tray", "{}", 1<<63, ""))
	f.Add(frame("tray", `{"Report":{"pieces":[{"number":1}]}}`, 0, ""))
	f.Fuzz(func(t *testing.T, wire []byte) {
		var a answer
		body, err := readFrame(bytes.NewReader(wire), &a, 1000)
		if err == nil && (len(body) > 1000 || len(wire) < 16+len(body)) {
			t.Errorf("%d bytes of body from %d bytes", len(body), len(wire))
		}
		var q request
		if body, err := readFrame(bytes.NewReader(wire), &q, 1000); err == nil {
			_, _ = q.Ticket.Matter() // whatever comes, it must not panic
			if first, second, err := q.photos(body); err == nil && len(first)+len(second) != len(body) {
				t.Errorf("%d and %d bytes of photos from %d", len(first), len(second), len(body))
			}
		}
	})
}
