package class

import (
	"path"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
)

// assign says whose each photo is: the label on the mat tells, or else the
// sub-folder, or else the file's name; the roster turns labels into names, and
// without a roster the label is the name. What does not fit together is left
// without a trainee and says why, in Note. Entries come in the order of their
// files.
func assign(entries []book.Entry, roster Roster) {
	first := map[string]string{}
	for i := range entries {
		e := &entries[i]
		e.Trainee, e.Note = "", nil
		hashes := book.Hashes(e.Photo)
		if again := slices.IndexFunc(hashes, func(h string) bool { return first[h] != "" }); again >= 0 {
			e.Note = phrase.Named("note-same", strconv.Quote(first[hashes[again]]))
			continue
		}
		for _, h := range hashes {
			first[h] = e.File
		}
		assignOne(e, roster)
	}
	refuseDoubled(entries)
}

func assignOne(e *book.Entry, roster Roster) {
	folder, _, inFolder := strings.Cut(e.File, "/")
	switch {
	case e.Label != "": // read from the mat
		e.LabelFrom = "mat"
	case inFolder:
		e.Label, e.LabelFrom = folder, "folder"
	default:
		e.Label, e.LabelFrom = strings.TrimSuffix(e.File, path.Ext(e.File)), "file"
	}
	if !roster.Known() {
		e.Trainee = e.Label
		return
	}
	name, known := roster.Name(e.Label)
	if !known {
		e.Note = phrase.Named("note-unknown", strconv.Quote(e.Label), "from-"+e.LabelFrom)
		return
	}
	if other, known := roster.Name(folder); inFolder && known && other != name {
		e.Note = phrase.Named("note-folder", strconv.Quote(e.Label), name, other)
		return
	}
	e.Trainee = name
}

// refuseDoubled leaves a label open that stands on photos in different places:
// two trays can bear one label by mistake. Photos in one sub-folder belong
// together.
func refuseDoubled(entries []book.Entry) {
	places, files := map[string][]string{}, map[string][]string{}
	for _, e := range entries {
		if e.Trainee == "" {
			continue
		}
		place := path.Dir(e.File)
		if place == "." {
			place = e.File
		}
		if k := key(e.Label); !slices.Contains(places[k], place) {
			places[k] = append(places[k], place)
			files[k] = append(files[k], strconv.Quote(e.File))
		}
	}
	for i := range entries {
		if k := key(entries[i].Label); len(places[k]) > 1 && entries[i].Trainee != "" {
			entries[i].Trainee = ""
			entries[i].Note = phrase.Named("note-doubled", strconv.Quote(entries[i].Label), strings.Join(files[k], ", "))
		}
	}
}
