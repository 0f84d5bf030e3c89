package main

import (
	"context"
	"crypto/sha256"
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

// batchOptions are what class and line share: how to check photos, and the
// record book.
type batchOptions struct {
	ticketFlags
	book     string
	noRecord bool
}

func (o *batchOptions) register(f *pflag.FlagSet) {
	o.registerBook(f)
	f.BoolVar(&o.noRecord, "no-record", false, "keep nothing: no record book is opened")
	o.ticketFlags.register(f)
}

func (o *batchOptions) registerBook(f *pflag.FlagSet) {
	f.StringVar(&o.book, "book", "", "record book, a file (default: netagauge/book.sqlite in the user's configuration folder)")
}

// openBook opens the record book, or a temporary one that keeps nothing.
func (o *batchOptions) openBook(ctx context.Context) (*book.Book, error) {
	if o.noRecord {
		return book.Temporary(ctx)
	}
	path, err := o.bookPath()
	if err != nil {
		return nil, err
	}
	return book.Open(ctx, path)
}

// bookPath is the book's file; the folder of the default one is made.
func (o *batchOptions) bookPath() (string, error) {
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

// recorder measures trays and keeps the results in the book.
func recorder(b *book.Book, m worker.Measurer) record.Recorder {
	return record.Recorder{Book: b, Program: programVersion(), Measure: m.Measure}
}

// programVersion tells one build of the program from another, so that results
// are never mixed: the module's version when the build has one, or else the
// hash of the program's file.
var programVersion = sync.OnceValue(func() string {
	info, ok := debug.ReadBuildInfo()
	if ok && info.Main.Version != "" && info.Main.Version != "(devel)" && !strings.Contains(info.Main.Version, "+dirty") {
		return info.Main.Version
	}
	path, err := os.Executable()
	if err != nil {
		return "devel"
	}
	f, err := os.Open(path)
	if err != nil {
		return "devel"
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "devel"
	}
	return "devel-" + hex.EncodeToString(h.Sum(nil))[:12]
})

// isTerminal reports whether a person watches w.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd()) && os.Getenv("TERM") != "dumb"
}
