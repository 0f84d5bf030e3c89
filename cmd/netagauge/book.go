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
deleted, but for records of a person who is to be forgotten.

Exit codes: 0 shown or exported, 2 wrong usage or no such book.
`

func runBook(ctx context.Context, args []string, to *caller) (int, error) {
	var o batchOptions
	var asJSON, asCSV string
	var schema bool
	f := newFlags("book", bookHelp, to)
	o.registerBook(f)
	f.StringVar(&asJSON, "json", "", "export everything to this JSON file")
	f.StringVar(&asCSV, "csv", "", "export everything to this folder, one CSV file a table, pictures beside them")
	f.BoolVar(&schema, "schema", false, "describe the book's tables, as SQL")
	if err := to.parse(f, args); err != nil {
		return exitUsage, err
	}
	if err := nothingElse(f); err != nil {
		return exitUsage, err
	}
	if schema {
		text, err := book.Schema()
		fmt.Fprint(to.out, text)
		return exitPass, err
	}
	path, err := o.bookPath()
	if err != nil {
		return exitUsage, err
	}
	if _, err := os.Stat(path); err != nil {
		return exitUsage, misuse("use-no-book", quoted(path))
	}
	b, err := book.Open(ctx, path)
	if err != nil {
		return exitUsage, err
	}
	defer b.Close()
	if asJSON != "" {
		if err := writeTo(asJSON, to.out, func(w io.Writer) error { return b.ExportJSON(ctx, w) }); err != nil {
			return exitUsage, err
		}
		if asJSON == dash {
			return exitPass, nil
		}
	}
	if asCSV != "" {
		if err := b.ExportCSV(ctx, asCSV); err != nil {
			return exitUsage, err
		}
	}
	return exitPass, to.listBook(ctx, b, path)
}

// listBook names the sessions and lines in the book.
func (c *caller) listBook(ctx context.Context, b *book.Book, path string) error {
	c.say("ran-book", path)
	runs, err := b.History(ctx, time.Now().AddDate(100, 0, 0))
	if err != nil {
		return err
	}
	for _, r := range runs {
		entries, err := b.Entries(ctx, r.ID)
		if err != nil {
			return err
		}
		c.say("ran-book-class", report.Printable(r.Name), r.HeldOn.Format(c.Word("paper-day")), len(entries))
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
		c.say("ran-book-line", report.Printable(l), len(checks))
	}
	return nil
}
