package phrase

import (
	"embed"
	"io/fs"
	"slices"
	"strings"
	"sync"
)

//go:embed languages/*.toml
var files embed.FS

// Languages are those that the program speaks, one for each file, English first.
var Languages = sync.OnceValue(func() []*Language {
	out, err := load(files)
	if err != nil {
		panic(err) // the files are embedded, and a test reads them
	}
	return out
})

func load(files fs.FS) ([]*Language, error) {
	names, err := fs.Glob(files, "languages/*.toml")
	if err != nil {
		return nil, err
	}
	var out []*Language
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		l, err := unread(strings.TrimSuffix(strings.TrimPrefix(name, "languages/"), ".toml"), data)
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	i := slices.IndexFunc(out, func(l *Language) bool { return l.Tag() == "en" })
	out[0], out[i] = out[i], out[0]
	return out, nil
}

// InTag is the language of a tag, English for none of ours.
func InTag(tag string) *Language {
	for _, l := range Languages() {
		if strings.EqualFold(l.Tag(), tag) {
			return l
		}
	}
	return English()
}

// English is what the command line, the files and the log are written in.
func English() *Language { return Languages()[0] }
