package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

const backupHelp = `Copy a data folder into one file: sessions, photos, results, accounts, settings.

  netagauge backup --data kitchen kitchen-2026-11-25.tar.gz

The folder may be in use. The copy holds everybody's photos and results: keep it
where only you can read it. A file that is there is never overwritten; - writes
to standard output, such as through ssh to another computer.

Exit codes: 0 written, 2 wrong usage or a file that is there, 3 it could not be
written.
`

const restoreHelp = `Fill an empty data folder from a backup.

  netagauge restore kitchen-2026-11-25.tar.gz --data kitchen-again

Everything is checked before it takes its place; a damaged backup restores
nothing. - reads the backup from standard input.

Exit codes: 0 restored, 2 wrong usage, 3 it could not be restored.
`

func runBackup(ctx context.Context, args []string, out, _ io.Writer) (int, error) {
	dir, file, err := dataAndFile("backup", backupHelp, args, out)
	if err != nil {
		return exitUsage, err
	}
	fill := func(w io.Writer) error { return intake.Backup(ctx, dir, w) }
	if file == dash {
		if err := fill(out); err != nil {
			return exitRefused, err
		}
		return exitPass, nil
	}
	if st, err := os.Stat(file); err == nil && st.Mode().IsRegular() {
		return exitUsage, usagef("there is a file %q already; a backup never takes the place of another, so give it a name of its own", file)
	}
	if err := atomicfile.WritePrivateTo(file, fill); err != nil {
		return exitRefused, err
	}
	fmt.Fprintf(out, "%s holds all of %s\n", file, dir)
	return exitPass, nil
}

func runRestore(ctx context.Context, args []string, out, _ io.Writer) (int, error) {
	dir, file, err := dataAndFile("restore", restoreHelp, args, out)
	if err != nil {
		return exitUsage, err
	}
	in := stdin
	if file != dash {
		f, err := os.Open(file)
		if err != nil {
			return exitUsage, usageError{err}
		}
		defer f.Close()
		in = f
	}
	if err := intake.Restore(ctx, in, dir, accountsOpen); err != nil {
		return exitRefused, fmt.Errorf("%s: %w", file, err)
	}
	fmt.Fprintf(out, "%s is restored from %s\n", dir, file)
	return exitPass, nil
}

// accountsOpen holds the accounts of an unpacked backup, if it has any, against what
// this program can open.
func accountsOpen(ctx context.Context, dir string) error {
	path := filepath.Join(dir, intake.AccountsFile)
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	a, err := account.Open(ctx, path)
	if err != nil {
		return errors.Unwrap(err) // whose path is not where they will be
	}
	return a.Close()
}

// dataAndFile reads the one flag and the one name that both verbs take.
func dataAndFile(name, help string, args []string, out io.Writer) (dir, file string, err error) {
	f := newFlags(name, help, out)
	f.StringVar(&dir, "data", "", "data folder")
	if err := parse(f, args); err != nil {
		return "", "", err
	}
	switch {
	case dir == "":
		return "", "", usagef("name the data folder with --data")
	case f.NArg() != 1:
		return "", "", usagef("name the one file of the backup")
	}
	return dir, f.Arg(0), nil
}
