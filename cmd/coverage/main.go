// Command coverage measures how often the program's intervals hold the truth, by
// group of slices, on folders of photos whose truth lies beside them, and fits the
// factors by which intervals are stated. It is for maintainers:
//
//	go run ./cmd/coverage FOLDER...                       # a table
//	go run ./cmd/coverage --keep some.csv FOLDER...       # and keep what it rests on
//	go run ./cmd/coverage --fit testdata/coverage/*.csv   # write calibration/coverage.csv anew
//	go run ./cmd/coverage testdata/coverage/*.csv         # a table from what was kept
//	go run ./cmd/coverage --apart testdata/coverage/*.csv # each tray by factors fitted on the others
//
// Factors are fitted on one set of photos and held to another.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/coverage"
	"netagauge/internal/work/trial"
)

// factors is where the program reads its factors from, in the project's folder.
const factors = "calibration/coverage.csv"

func main() {
	fit := pflag.Bool("fit", false, "fit the factors and write "+factors)
	apart := pflag.Bool("apart", false, "hold each tray to factors fitted on all the others")
	keep := pflag.String("keep", "", "also write the residuals to this file")
	pflag.Parse()
	if err := run(context.Background(), pflag.Args(), options{*fit, *apart, *keep}, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "coverage:", err)
		os.Exit(1)
	}
}

// options are what is asked for besides the table.
type options struct {
	fit, apart bool
	keep       string
}

func run(ctx context.Context, from []string, o options, out io.Writer) error {
	var all []coverage.Residual
	for _, name := range from {
		some, err := residuals(ctx, name)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, some...)
	}
	if o.keep != "" {
		if err := atomicfile.WriteTo(o.keep, func(w io.Writer) error { return coverage.WriteResiduals(w, all) }); err != nil {
			return err
		}
	}
	k := coverage.Measured()
	if o.fit {
		var err error
		if k, err = coverage.Fit(all); err != nil {
			return err
		}
		if err := atomicfile.WriteTo(factors, k.Write); err != nil {
			return err
		}
	}
	if o.apart {
		held, err := coverage.HoldApart(all)
		if err != nil {
			return err
		}
		return table(out, held)
	}
	return table(out, coverage.Hold(all, k))
}

// residuals are those kept in a file, or those of a photo or of all in a folder.
func residuals(ctx context.Context, name string) ([]coverage.Residual, error) {
	if filepath.Ext(name) == ".csv" {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		return coverage.ReadResiduals(f)
	}
	photos := []string{name}
	if filepath.Ext(name) == "" {
		var err error
		if photos, err = trial.Photos(name); err != nil {
			return nil, err
		}
	}
	var all []coverage.Residual
	for _, p := range photos {
		t, err := trial.Read(p)
		if err != nil {
			return nil, err
		}
		some, err := t.Residuals(ctx)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(os.Stderr, "%s: %d residuals\n", p, len(some))
		all = append(all, some...)
	}
	return all, nil
}

// table is one of Markdown, as testdata/accuracy.md has it.
func table(out io.Writer, held []coverage.Held) error {
	w := tabwriter.NewWriter(out, 0, 0, 1, ' ', 0)
	fmt.Fprintln(w, "| group\t| slices\t| held\t| 95 % of such sets\t| median U\t| by the best constant\t|")
	fmt.Fprintln(w, "| ---\t| ---\t| ---\t| ---\t| ---\t| ---\t|")
	for _, h := range held {
		if h.N == 0 {
			fmt.Fprintf(w, "| %s, %s\t| 0\t|\t|\t|\t|\n", h.Measure.Name(), h.Seen)
			continue
		}
		fmt.Fprintf(w, "| %s, %s\t| %d\t| %s %%\t| %s to %s %%\t| %s%s\t| %s\t|\n", h.Measure.Name(), h.Seen, h.N,
			uncertainty.Decimal(100*float64(h.Held)/float64(h.N), 1), uncertainty.Decimal(100*h.Low, 0), uncertainty.Decimal(100*h.High, 0),
			uncertainty.Decimal(h.MedianU, 2), h.Measure.Unit.Sign, uncertainty.Decimal(h.MedianU/h.Constant, 2))
	}
	return w.Flush()
}
