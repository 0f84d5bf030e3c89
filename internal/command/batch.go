package command

import (
	"context"
	"crypto/sha256"
	"debug/elf"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"

	"github.com/mattn/go-isatty"
	"github.com/spf13/pflag"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/book"
	"netagauge/internal/work/record"
	"netagauge/internal/work/worker"
)

// BatchOptions are what class and line share: how to check photos, and the
// record book.
type BatchOptions struct {
	TicketFlags
	book     string
	NoRecord bool
}

// Register adds the options.
func (o *BatchOptions) Register(f *pflag.FlagSet) {
	o.RegisterBook(f)
	f.BoolVar(&o.NoRecord, "no-record", false, "keep nothing: no record book is opened")
	o.TicketFlags.Register(f)
}

// RegisterBook adds the one that names the book.
func (o *BatchOptions) RegisterBook(f *pflag.FlagSet) {
	f.StringVar(&o.book, "book", "", "record book, a file (default: netagauge/book.sqlite in the user's configuration folder)")
}

// OpenBook opens the record book, or a temporary one that keeps nothing.
func (o *BatchOptions) OpenBook(ctx context.Context) (*book.Book, error) {
	if o.NoRecord {
		return book.Temporary(ctx)
	}
	path, err := o.BookPath()
	if err != nil {
		return nil, err
	}
	return book.Open(ctx, path)
}

// BookPath is the book's file; the folder of the default one is made.
func (o *BatchOptions) BookPath() (string, error) {
	if o.book != "" {
		return o.book, nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", phrase.Wrong("use-no-book-place").For(err)
	}
	dir = filepath.Join(dir, "netagauge")
	return filepath.Join(dir, "book.sqlite"), os.MkdirAll(dir, 0o700)
}

// Recorder measures trays and keeps the results in the book.
func Recorder(b *book.Book, m worker.Measurer) record.Recorder {
	return record.Recorder{Book: b, Program: ProgramVersion(), Measure: m.Measure}
}

// ProgramVersion tells one build of the program from another, so that results
// are never mixed: the module's version when the build has one, or else what
// VersionOf tells of its file.
var ProgramVersion = sync.OnceValue(func() string {
	info, ok := debug.ReadBuildInfo()
	if ok && info.Main.Version != "" && info.Main.Version != "(devel)" && !strings.Contains(info.Main.Version, "+dirty") {
		return info.Main.Version
	}
	path, err := os.Executable()
	if err != nil {
		return "devel"
	}
	return VersionOf(path)
})

// VersionOf is the hash of the build ID in a program's file, by which Go tells builds
// apart, or of the whole file, which takes as long as a quarter of a photo.
func VersionOf(path string) string {
	f, err := os.Open(path)
	if err != nil {
		return "devel"
	}
	defer f.Close()
	var from io.Reader = f
	if program, err := elf.NewFile(f); err == nil {
		if id := program.Section(".note.go.buildid"); id != nil {
			from = id.Open()
		}
	}
	h := sha256.New()
	if _, err := io.Copy(h, from); err != nil {
		return "devel"
	}
	return "devel-" + hex.EncodeToString(h.Sum(nil))[:12]
}

// IsTerminal reports whether a person watches w.
func IsTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd()) && os.Getenv("TERM") != "dumb"
}
