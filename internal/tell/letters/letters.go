// Package letters are the fonts of everything that is printed, and a pen that sets
// text in them: Liberation Sans, and where that lacks a letter, a Japanese font cut
// down to what names and sentences need. Places are in mm, sizes in points.
package letters

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"io"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"
)

//go:embed japanese.ttf.gz
var packed []byte

// Japanese is the Japanese font, as TrueType.
var Japanese = sync.OnceValue(func() []byte {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		panic(err) // the file is embedded, and a test reads it
	}
	data, err := io.ReadAll(r)
	if err != nil {
		panic(err)
	}
	return data
})

// Latin is Liberation Sans, Bold its bold.
var Latin, Bold = liberationsansregular.TTF, liberationsansbold.TTF

var parsed = struct{ latin, japanese func() *sfnt.Font }{
	sync.OnceValue(func() *sfnt.Font { return mustParse(Latin) }),
	sync.OnceValue(func() *sfnt.Font { return mustParse(Japanese()) }),
}

func mustParse(data []byte) *sfnt.Font {
	f, err := sfnt.Parse(data)
	if err != nil {
		panic(err)
	}
	return f
}

// Face is a font by name.
type Face string

// The faces; None has the letters of no font.
const (
	None         Face = ""
	LatinFace    Face = "latin"
	JapaneseFace Face = "japanese"
)

// For is the first face that has every letter of a text.
func For(s string) Face {
	switch {
	case has(parsed.latin(), s):
		return LatinFace
	case has(parsed.japanese(), s):
		return JapaneseFace
	}
	return None
}

func has(f *sfnt.Font, s string) bool {
	var buf sfnt.Buffer
	for _, r := range s {
		if i, err := f.GlyphIndex(&buf, r); err != nil || i == 0 {
			return false
		}
	}
	return true
}
