package class

import (
	"fmt"
	"path"
	"slices"
	"strings"

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
		e.Trainee, e.Note = "", ""
		hashes := book.Hashes(e.Photo)
		if again := slices.IndexFunc(hashes, func(h string) bool { return first[h] != "" }); again >= 0 {
			e.Note = fmt.Sprintf("it is the same photo as %q and was not counted again", first[hashes[again]])
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
		e.Note = fmt.Sprintf("label %q (from the %s) is not in the roster", e.Label, e.LabelFrom)
		return
	}
	if other, known := roster.Name(folder); inFolder && known && other != name {
		e.Note = fmt.Sprintf("the mat's label %q is %s, but the photo lies in the folder of %s", e.Label, name, other)
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
			files[k] = append(files[k], fmt.Sprintf("%q", e.File))
		}
	}
	for i := range entries {
		if k := key(entries[i].Label); len(places[k]) > 1 && entries[i].Trainee != "" {
			entries[i].Trainee = ""
			entries[i].Note = fmt.Sprintf("label %q is on %s; when they are one person's, put them into one sub-folder", entries[i].Label, strings.Join(files[k], " and "))
		}
	}
}
