// Package class runs a folder of photos through the check, all cores at once,
// keeps each result in the record book as soon as it is there, and says whose
// photo is whose. It goes on where a stopped run left off. It does not measure,
// grade or lay out pages.
package class

import (
	"io/fs"
	"path"
	"path/filepath"
	"strings"

	"netagauge/internal/core/phrase"
)

// Trays lists the trays whose photos lie in a folder and its sub-folders, as
// paths inside the folder with slashes, in the order of their names. Hidden
// files and folders are left out. A sub-folder that cannot be read is an error:
// it may hold somebody's tray.
func Trays(folder string) ([]Tray, error) {
	var out []string
	err := filepath.WalkDir(folder, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		hidden := strings.HasPrefix(d.Name(), ".") && p != folder
		switch {
		case hidden && d.IsDir():
			return fs.SkipDir
		case hidden || d.IsDir() || !isPhoto(d.Name()):
			return nil
		}
		rel, err := filepath.Rel(folder, p)
		out = append(out, filepath.ToSlash(rel))
		return err
	})
	if err != nil {
		return nil, err
	}
	if len(out) == 0 {
		return nil, phrase.Wrong("folder-no-photos", folder)
	}
	return Pair(out)
}

// isPhoto goes by the name only; the check looks at the content. Kinds that it refuses are
// among them, since somebody's tray may be on one.
func isPhoto(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp", ".avif", ".gif", ".bmp", ".tif", ".tiff":
		return true
	}
	return false
}
