package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode"
	"unicode/utf8"

	"netagauge/internal/core/piece"
)

// JSON writes one report as one line, so that several make JSON Lines. Numbers
// are rounded as people read them; strings are exact, and characters that do not
// print are escaped.
func JSON(w io.Writer, r piece.Tray) error {
	r, err := rounded(r, asIs)
	if err != nil {
		return err
	}
	if r.Problems == nil {
		r.Problems = []piece.Problem{}
	}
	if r.Pieces == nil {
		r.Pieces = []piece.Piece{}
	}
	line, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("report on %q: %w", r.Photo.File, err)
	}
	_, err = w.Write(append(escapeUnprintable(line), '\n'))
	return err
}

// Indented writes a value as JSON over several lines, characters that do not print
// escaped.
func Indented(w io.Writer, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, escapeUnprintable(text), "", "  "); err != nil {
		return err
	}
	_, err = w.Write(append(out.Bytes(), '\n'))
	return err
}

// escapeUnprintable writes as \uXXXX what encoding/json leaves raw but a
// terminal may obey: DEL, C1 controls, marks that turn the direction of
// writing. In JSON such characters occur inside strings only.
func escapeUnprintable(line []byte) []byte {
	if !bytes.ContainsFunc(line, notPrint) {
		return line
	}
	var b bytes.Buffer
	for len(line) > 0 {
		r, n := utf8.DecodeRune(line)
		switch {
		case !notPrint(r):
			b.Write(line[:n])
		case r < 0x10000:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			high, low := (r-0x10000)>>10+0xd800, (r-0x10000)&0x3ff+0xdc00
			fmt.Fprintf(&b, `\u%04x\u%04x`, high, low)
		}
		line = line[n:]
	}
	return b.Bytes()
}

func notPrint(r rune) bool { return !unicode.IsPrint(r) }
