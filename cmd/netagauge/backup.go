package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"netagauge/internal/command"
	"netagauge/internal/core/atomicfile"
	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

const backupHelp = `Copy a kitchen into one file: sessions, photos, results, accounts, settings.

  netagauge backup --data kitchen kitchen-2026-11-25.tar.gz
  netagauge backup --database postgres://netagauge@record.example/netagauge \
    --photos 's3://kitchens/trays?endpoint=https://photos.example' \
    kitchen-2026-11-25.tar.gz

Either may be in use. The copy holds everybody's photos and results: keep it
where only you can read it. A file that is there is never overwritten; - writes
to standard output, such as through ssh to another computer.

From a server and a bucket it is as of one moment, but for photos that are
deleted meanwhile. All is first gathered in a folder beside the file (for -,
where TMPDIR says), which goes again; up to three times the kitchen's size is
needed, of several sites the largest one's and the file's. The sites of one
organisation all go into one file, as of the same moment.

Exit codes: 0 written, 2 wrong usage or a file that is there, 3 it could not be
written.
`

const restoreHelp = `Fill an empty data folder, or an empty database and bucket, from a backup.

  netagauge restore kitchen-2026-11-25.tar.gz --data kitchen-again
  netagauge restore kitchen-2026-11-25.tar.gz \
    --database postgres://netagauge@record.example/netagauge \
    --photos 's3://kitchens/trays?endpoint=https://photos.example'

Either takes the backup of either; that of several sites needs a database.

Everything is checked before it takes its place; a damaged backup restores
nothing. - reads the backup from standard input. A restore into a database that
was stopped goes on when the same is said again; it unpacks where TMPDIR says.

Exit codes: 0 restored, 2 wrong usage, 3 it could not be restored.
`

func runBackup(ctx context.Context, args []string, to *command.Caller) (int, error) {
	p, err := kitchenAndFile("backup", backupHelp, args, to)
	if err != nil {
		return command.ExitUsage, err
	}
	file := p.file
	fill := func(w io.Writer) error { return p.backup(ctx, to, w) }
	if file == command.Dash {
		if err := fill(to.Out); err != nil {
			return command.ExitRefused, err
		}
		return command.ExitPass, nil
	}
	if st, err := os.Stat(file); err == nil && st.Mode().IsRegular() {
		return command.ExitUsage, command.Misuse("use-backup-there", command.Quoted(file))
	}
	if err := atomicfile.WritePrivateTo(file, fill); err != nil {
		return command.ExitRefused, err
	}
	to.Say("ran-backup", file, p.name())
	return command.ExitPass, nil
}

func runRestore(ctx context.Context, args []string, to *command.Caller) (int, error) {
	p, err := kitchenAndFile("restore", restoreHelp, args, to)
	if err != nil {
		return command.ExitUsage, err
	}
	in := command.Stdin
	if p.file != command.Dash {
		f, err := os.Open(p.file)
		if err != nil {
			return command.ExitUsage, command.MisuseOf(err)
		}
		defer f.Close()
		in = f
	}
	if err := p.restore(ctx, to, in); err != nil {
		return command.ExitRefused, phrase.At(p.file, err)
	}
	to.Say("ran-restore", p.name(), p.file)
	return command.ExitPass, nil
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

// copied is what both verbs are about: a kitchen, in a data folder or a shared place, and
// the file of its backup.
type copied struct {
	data, file string
	shared     sharedPlace
}

// name is the kitchen's to people; the address of a database may have a password in it.
func (p copied) name() string {
	if p.data != "" {
		return p.data
	}
	return p.shared.photos
}

func kitchenAndFile(name, help string, args []string, to *command.Caller) (p copied, err error) {
	f := command.NewFlags(name, help, to)
	f.StringVar(&p.data, "data", "", "data folder")
	p.shared.flags(f)
	if err := to.Parse(f, args); err != nil {
		return p, err
	}
	some, both := p.shared.database != "" || p.shared.photos != "", p.shared.database != "" && p.shared.photos != ""
	switch {
	case (p.data != "") == some:
		return p, command.Misuse("use-copy-one")
	case some && !both:
		return p, command.Misuse("use-shared-both")
	case f.NArg() != 1:
		return p, command.Misuse("use-backup-file")
	}
	p.file = f.Arg(0)
	return p, nil
}
