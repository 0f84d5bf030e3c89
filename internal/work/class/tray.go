package class

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/see/photo"
	"netagauge/internal/work/record"
)

// Tray is the photo file of a tray and, if there is one, that of a second photo
// of it, taken from another place.
type Tray struct{ File, Second string }

// secondMark stands before the extension of a second photo: 7.b.jpg beside 7.jpg.
const secondMark = ".b"

// Pair finds the second photos among files, each in the folder of its first one,
// and keeps the order. Upper and lower case in a name are the same, as they are
// to many disks; where that leaves two files to choose from, Pair errs instead
// of choosing. A name like a second photo's without a first one is a tray of its
// own.
func Pair(files []string) ([]Tray, error) {
	byName := map[string][]string{}
	for _, f := range files {
		byName[lower(f)] = append(byName[lower(f)], f)
	}
	isSecond := func(name string) bool {
		second := false
		for first := firstOf(name); byName[first] != nil; first = firstOf(first) {
			second = !second
		}
		return second
	}
	var out []Tray
	for _, f := range files {
		name := lower(f)
		if isSecond(name) {
			continue
		}
		t := Tray{File: f}
		if seconds := byName[secondOf(name)]; seconds != nil {
			if alike := slices.Concat(byName[name], seconds); len(alike) > 2 {
				return nil, phrase.Wrong("second-which", alike)
			}
			t.Second = seconds[0]
		}
		out = append(out, t)
	}
	return out, nil
}

// lower is a file with its name in lower case; the folder stays as it is.
func lower(file string) string {
	dir, name := filepath.Split(filepath.Clean(file))
	return dir + strings.ToLower(name)
}

// secondOf is the name of the second photo of a tray.
func secondOf(name string) string {
	ext := filepath.Ext(name)
	return strings.TrimSuffix(name, ext) + secondMark + ext
}

// firstOf is the name of the first photo where name is that of a second one;
// empty where it is not.
func firstOf(name string) string {
	ext := filepath.Ext(name)
	first, marked := strings.CutSuffix(strings.TrimSuffix(name, ext), secondMark)
	if !marked {
		return ""
	}
	return first + ext
}

// Read reads the photos of a tray in a folder. A second one that cannot be read
// is an error: the tray would else be measured in another way than was meant.
func (t Tray) Read(folder string, job ticket.Ticket) (record.Tray, error) {
	out := record.Tray{Ticket: job}
	var err error
	if out.First, err = read(folder, t.File); err != nil || t.Second == "" {
		return out, err
	}
	if out.Second, err = read(folder, t.Second); err != nil {
		return out, phrase.Because(err, "second-photo", strconv.Quote(t.Second))
	}
	return out, nil
}

func read(folder, file string) (record.Photo, error) {
	data, err := photo.Read(filepath.Join(folder, filepath.FromSlash(file)))
	return record.Bytes(file, data), err
}
