package records

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"netagauge/internal/command"
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

// Book shows or exports the record book.
func Book(ctx context.Context, args []string, to *command.Caller) (int, error) {
	var o command.BatchOptions
	var asJSON, asCSV string
	var schema bool
	f := command.NewFlags("book", bookHelp, to)
	o.RegisterBook(f)
	f.StringVar(&asJSON, "json", "", "export everything to this JSON file")
	f.StringVar(&asCSV, "csv", "", "export everything to this folder, one CSV file a table, pictures beside them")
	f.BoolVar(&schema, "schema", false, "describe the book's tables, as SQL")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if schema {
		text, err := book.Schema()
		fmt.Fprint(to.Out, text)
		return command.ExitPass, err
	}
	path, err := o.BookPath()
	if err != nil {
		return command.ExitUsage, err
	}
	if _, err := os.Stat(path); err != nil {
		return command.ExitUsage, command.Misuse("use-no-book", command.Quoted(path))
	}
	b, err := book.Open(ctx, path)
	if err != nil {
		return command.ExitUsage, err
	}
	defer b.Close()
	if asJSON != "" {
		if err := command.WriteTo(asJSON, to.Out, func(w io.Writer) error { return b.ExportJSON(ctx, w) }); err != nil {
			return command.ExitUsage, err
		}
		if asJSON == command.Dash {
			return command.ExitPass, nil
		}
	}
	if asCSV != "" {
		if err := b.ExportCSV(ctx, asCSV); err != nil {
			return command.ExitUsage, err
		}
	}
	return command.ExitPass, listBook(ctx, b, path, to)
}

// listBook names the sessions and lines in the book.
func listBook(ctx context.Context, b *book.Book, path string, c *command.Caller) error {
	c.Say("ran-book", path)
	runs, err := b.History(ctx, time.Now().AddDate(100, 0, 0))
	if err != nil {
		return err
	}
	for _, r := range runs {
		entries, err := b.Entries(ctx, r.ID)
		if err != nil {
			return err
		}
		c.Say("ran-book-class", report.Printable(r.Name), r.HeldOn.Format(c.Word("paper-day")), len(entries))
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
		c.Say("ran-book-line", report.Printable(l), len(checks))
	}
	return nil
}
