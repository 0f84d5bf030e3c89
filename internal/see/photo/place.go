package photo

import (
	"bytes"
	"encoding/binary"
	"regexp"
)

// A phone writes some ten properties of a place, none of them long; a file with more
// is made to keep a reader busy.
const (
	maxPlaces   = 200
	maxProperty = 2000
)

// placeNames are the properties of XMP that tell a place: EXIF's GPS (Adobe's XMP
// specification, part 2, 2.3), and those of the IPTC photo metadata standard, core
// and extension, whose structured places hold these.
var placeNames = map[string]*regexp.Regexp{
	"exif:GPS":      regexp.MustCompile(`^[A-Za-z]+`),
	"photoshop:":    regexp.MustCompile(`^(?:City|State|Country)\b`),
	"Iptc4xmpCore:": regexp.MustCompile(`^(?:Location|CountryCode)\b`),
	"Iptc4xmpExt:":  regexp.MustCompile(`^(?:City|Sublocation|ProvinceState|CountryName|CountryCode|WorldRegion|LocationName|LocationId)\b`),
}

// attribute is the rest of a property that is one.
var attribute = regexp.MustCompile(`^\s*=\s*(?:"([^"<>]*)"|'([^'<>]*)')`)

func blankProperties(file []byte) (dropped bool) {
	for start, ends := range placeNames {
		for rest := range starts(file, start, maxPlaces) {
			near := rest[:min(len(rest), maxProperty)]
			end := ends.FindIndex(near[len(start):])
			if end != nil {
				name := len(start) + end[1]
				dropped = blankProperty(near[:name], near[name:]) || dropped
			}
		}
	}
	return dropped
}

// blankProperty blanks the value of a property, what stands behind its name: an
// attribute's, or all text inside an element.
func blankProperty(name, b []byte) bool {
	if at := attribute.FindSubmatchIndex(b); at != nil {
		return blankText(b[max(at[2], at[4]):max(at[3], at[5])]) // the other one is -1
	}
	end := bytes.Index(b, append([]byte("</"), name...))
	if end < 0 || len(b) == 0 || b[0] == '/' {
		return false
	}
	there := false
	for b = b[:end]; ; {
		open := bytes.IndexByte(b, '>')
		if open < 0 {
			return there
		}
		b = b[open+1:]
		text := b
		if next := bytes.IndexByte(b, '<'); next >= 0 {
			text = b[:next]
		}
		there = blankText(text) || there
	}
}

func blankText(b []byte) bool {
	there := len(bytes.TrimSpace(b)) > 0
	fill(b, ' ')
	return there
}

// Places among the data sets of IPTC's record 2 (IIM 4.2, chapter 6).
var iptcPlaces = map[byte]bool{26: true, 27: true, 90: true, 92: true, 95: true, 100: true, 101: true}

// blankIPTC blanks the places of IPTC data sets, which lie in a resource 1028 of
// Photoshop's (8BIM, its number, a name of even length, its size).
func blankIPTC(file []byte) (dropped bool) {
	rest := file
	for range maxBlocks {
		i := bytes.Index(rest, []byte("8BIM\x04\x04"))
		if i < 0 {
			break
		}
		rest = rest[i+6:]
		if len(rest) < 6 {
			break
		}
		name := (int(rest[0])/2 + 1) * 2
		if len(rest) < name+4 {
			break
		}
		b := rest[name:min(len(rest), name+maxEXIF)]
		size := min(uint64(binary.BigEndian.Uint32(b)), uint64(len(b)-4))
		dropped = blankDataSets(b[4:4+size]) || dropped
	}
	return dropped
}

// blankDataSets goes through data sets: 1C, record, number, size, value.
func blankDataSets(b []byte) (dropped bool) {
	for len(b) >= 5 && b[0] == 0x1c {
		n := int(binary.BigEndian.Uint16(b[3:]))
		if n > len(b)-5 {
			return dropped
		}
		if b[1] == 2 && iptcPlaces[b[2]] {
			dropped = blankText(b[5:5+n]) || dropped
		}
		b = b[5+n:]
	}
	return dropped
}
