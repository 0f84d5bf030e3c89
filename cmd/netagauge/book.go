package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"netagauge/internal/keep/book"
	"netagauge/internal/tell/report"
)

const bookHelp = `Show what the record book holds, or export all of it.

  netagauge book
  netagauge book --json book.json
  netagauge book --csv book-tables

The book is one SQLite file; --schema describes its tables. Nothing in it is
ever deleted.

Exit codes: 0 shown or exported, 2 wrong usage or no such book.
`

func runBook(ctx context.Context, args []string, out, _ io.Writer) (int, error) {
	var o batchOptions
	var asJSON, asCSV string
	var schema bool
	f := newFlags("book", bookHelp, out)
	o.registerBook(f)
	f.StringVar(&asJSON, "json", "", "export everything to this JSON file")
	f.StringVar(&asCSV, "csv", "", "export everything to this folder, one CSV file a table, pictures beside them")
	f.BoolVar(&schema, "schema", false, "describe the book's tables, as SQL")
	if err := parse(f, args); err != nil {
		return exitUsage, err
	}
	if f.NArg() > 0 {
		return exitUsage, usagef("book takes no file names; name the book with --book")
	}
	if schema {
		text, err := book.Schema()
		fmt.Fprint(out, text)
		return exitPass, err
	}
	path, err := o.bookPath()
	if err != nil {
		return exitUsage, err
	}
	if _, err := os.Stat(path); err != nil {
		return exitUsage, usagef("there is no record book %q yet; class and line begin one", path)
	}
	b, err := book.Open(ctx, path)
	if err != nil {
		return exitUsage, err
	}
	defer b.Close()
	if asJSON != "" {
		if err := writeTo(asJSON, out, func(w io.Writer) error { return b.ExportJSON(ctx, w) }); err != nil {
			return exitUsage, err
		}
		if asJSON == dash {
			out = io.Discard
		}
	}
	if asCSV != "" {
		if err := b.ExportCSV(ctx, asCSV); err != nil {
			return exitUsage, err
		}
	}
	return exitPass, listBook(ctx, b, path, out)
}

// listBook names the sessions and lines in the book.
func listBook(ctx context.Context, b *book.Book, path string, out io.Writer) error {
	fmt.Fprintf(out, "record book %s\n", path)
	runs, err := b.History(ctx, time.Now().AddDate(100, 0, 0))
	if err != nil {
		return err
	}
	for _, r := range runs {
		entries, err := b.Entries(ctx, r.ID)
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "  class %s, %s: %d photos\n", report.Printable(r.Name), r.HeldOn.Format("2 January 2006"), len(entries))
	}
	lines, err := b.Lines(ctx)
	if err != nil {
		return err
	}
	for _, l := range lines {
		checks, err := b.SpotChecks(ctx, l, book.Span{})
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "  line %s: %d spot checks\n", report.Printable(l), len(checks))
	}
	return nil
}
