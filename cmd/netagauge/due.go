package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/serve"
	"netagauge/internal/serve/metrics"
)

const dueHelp = `Show what the dates of keeping delete now, site by site; with --yes delete it.

  netagauge due --data kitchen
  netagauge due --database postgres://netagauge@record.example/netagauge \
    --photos 's3://kitchens/trays?endpoint=https://photos.example' --yes

Instructors set the dates on their pages; servers act on them by themselves each
hour, a whole day after the last change, and so does this. Results stay when a
photo goes. In a shared store it also looks for photos that no tray has, which a
server was taking in when it was stopped: --yes sets those aside that are older
than a day, where no program looks. A data folder must not be served meanwhile.
`

// dueOptions are the flags of due.
type dueOptions struct {
	*command.Caller
	data, site string
	at         sharedPlace
	yes        bool
	any        bool // something is due
}

func runDue(ctx context.Context, args []string, to *command.Caller) (int, error) {
	o := dueOptions{Caller: to}
	f := command.NewFlags("due", dueHelp, to)
	f.StringVar(&o.data, "data", "", "data folder of netagauge serve")
	o.at.flags(f)
	f.StringVar(&o.site, "site", "", "only the site of this short name")
	f.BoolVar(&o.yes, "yes", false, "delete it")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if err := o.at.check(o.data); err != nil {
		return command.ExitUsage, err
	}
	look := o.folder
	if o.at.database != "" {
		look = o.sites
	}
	if err := look(ctx); err != nil {
		return command.ExitRefused, err
	}
	if o.any && !o.yes {
		o.Say("ran-due-yes")
	}
	return command.ExitPass, nil
}

// folder looks at a data folder.
func (o *dueOptions) folder(ctx context.Context) (err error) {
	if _, err := os.Stat(filepath.Join(o.data, intake.ListFile)); err != nil { // which opening it would make
		return command.Misuse("use-not-kitchen", command.Quoted(o.data))
	}
	f, err := intake.Open(ctx, o.data, version())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	a, err := account.Open(ctx, filepath.Join(o.data, intake.AccountsFile))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, a.Close()) }()
	return o.kitchen(ctx, o.data, served{folder: f, accounts: a, kept: settings.InFolder(o.data)})
}

// sites looks at a shared place, site by site.
func (o *dueOptions) sites(ctx context.Context) (err error) {
	s, err := o.at.openShared(ctx, o.Quietly())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	names := []string{kitchenAlone}
	if g, err := s.sites(ctx); err != nil {
		return err
	} else if g != nil {
		all, err := g.kept.Sites(ctx)
		if err != nil {
			return err
		}
		names = nil
		for _, of := range all {
			names = append(names, of.Name)
		}
	}
	found := o.site == ""
	for _, name := range names {
		if o.site != "" && o.site != name {
			continue
		}
		found = true
		k, err := s.kitchen(ctx, name)
		if err != nil {
			return err
		}
		if err := errors.Join(o.kitchen(ctx, name, k), o.unclaimed(ctx, name, k.folder)); err != nil {
			return err
		}
	}
	if !found {
		return command.Misuse("use-no-site", command.Quoted(o.site))
	}
	return nil
}

// kitchen shows what is due at one, and deletes it if that is wanted.
func (o *dueOptions) kitchen(ctx context.Context, name string, k served) error {
	of := serve.Options{Folder: k.folder, Accounts: k.accounts, Settings: k.kept, Log: metrics.Log(o.Err, false, name)}
	rules, due, err := serve.Due(ctx, of, time.Now())
	if err != nil {
		return err
	}
	switch {
	case rules.From().IsZero():
		o.Say("ran-due-none", name)
		return nil
	case !rules.Acts(time.Now()):
		o.Say("ran-due-from", name, rules.From().Format(time.DateOnly))
		return nil
	}
	o.any = o.any || due.Any()
	o.Say("ran-due", name, due.Photos, float64(due.Bytes)/1e6, len(due.People), due.Kept, due.Waits)
	if !o.yes || !due.Any() {
		return nil
	}
	if err := serve.DeleteDue(ctx, of, time.Now()); err != nil {
		return err
	}
	o.Say("ran-due-done", name)
	return nil
}

// unclaimed shows the photos that no tray has, and sets them aside if that is wanted.
func (o *dueOptions) unclaimed(ctx context.Context, name string, f *intake.Folder) error {
	u, err := f.Unclaimed(ctx, time.Now())
	if err != nil || u.Photos == 0 {
		return err
	}
	o.any = true
	o.Say("ran-unclaimed", name, u.Photos, float64(u.Bytes)/1e6)
	if !o.yes {
		return nil
	}
	n, err := f.SetAside(ctx, u)
	if n > 0 {
		o.Say("ran-aside", name, n)
	}
	return err
}
