package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
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

func runBackup(ctx context.Context, args []string, to *caller) (int, error) {
	dir, file, err := dataAndFile("backup", backupHelp, args, to)
	if err != nil {
		return exitUsage, err
	}
	fill := func(w io.Writer) error { return intake.Backup(ctx, dir, w) }
	if file == dash {
		if err := fill(to.out); err != nil {
			return exitRefused, err
		}
		return exitPass, nil
	}
	if st, err := os.Stat(file); err == nil && st.Mode().IsRegular() {
		return exitUsage, misuse("use-backup-there", quoted(file))
	}
	if err := atomicfile.WritePrivateTo(file, fill); err != nil {
		return exitRefused, err
	}
	to.say("ran-backup", file, dir)
	return exitPass, nil
}

func runRestore(ctx context.Context, args []string, to *caller) (int, error) {
	dir, file, err := dataAndFile("restore", restoreHelp, args, to)
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
		return exitRefused, phrase.At(file, err)
	}
	to.say("ran-restore", dir, file)
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
func dataAndFile(name, help string, args []string, to *caller) (dir, file string, err error) {
	f := newFlags(name, help, to)
	f.StringVar(&dir, "data", "", "data folder")
	if err := to.parse(f, args); err != nil {
		return "", "", err
	}
	switch {
	case dir == "":
		return "", "", misuse("use-data")
	case f.NArg() != 1:
		return "", "", misuse("use-backup-file")
	}
	return dir, f.Arg(0), nil
}
