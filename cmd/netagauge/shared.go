package main

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path"
	"path/filepath"
	"sync"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/notify"
	"netagauge/internal/keep/photos/bucket"
	"netagauge/internal/keep/queue"
	"netagauge/internal/keep/settings"
	"netagauge/internal/work/worker"
)

// sharedPlace is where a record lies that servers and workers on any number of computers
// share.
type sharedPlace struct{ database, photos string }

func (p *sharedPlace) flags(f *pflag.FlagSet) {
	f.StringVar(&p.database, "database", "", "PostgreSQL server that keeps the record, in place of a data folder: postgres://USER@HOST/NAME; its password is read from PGPASSWORD")
	f.StringVar(&p.photos, "photos", "", "where photos are kept, with --database: s3://BUCKET/PREFIX?endpoint=https://HOST; its secrets are read from AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY")
}

// check refuses all but one of a shared place, which is whole, and a data folder.
func (p *sharedPlace) check(data string) error {
	st, err := os.Stat(data)
	switch {
	case err == nil && !st.IsDir():
		return command.Misuse("use-not-kitchen", command.Quoted(data))
	case data == "" && p.database == "":
		return command.Misuse("use-data")
	case data != "" && p.database != "":
		return command.Misuse("use-either", "--data", "--database")
	case (p.database == "") != (p.photos == ""):
		return command.Misuse("use-shared-both")
	}
	return nil
}

// shared is the opened place: the sites of one organisation, or a kitchen alone.
type shared struct {
	server *database.Server
	queue  *queue.Queue
	news   *notify.News
	photos bucket.Address

	mu   sync.Mutex
	open map[string]*intake.Folder
	also []io.Closer
}

// served is what the pages are made from.
type served struct {
	folder   *intake.Folder
	accounts *account.Accounts
	kept     settings.Texts
	group    *group // of the sites that the kitchen is one of; nil for a kitchen by itself
}

// kitchenAlone is the site of a record that has no others.
const kitchenAlone = "kitchen"

// schemaOf is the schema of a site's record.
func schemaOf(site string) string { return "site_" + site }

// openShared opens the place.
func (p *sharedPlace) openShared(ctx context.Context, log *slog.Logger) (_ *shared, err error) {
	s := &shared{open: map[string]*intake.Folder{}}
	if s.photos, err = bucket.Parse(p.photos); err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			s.Close()
		}
	}()
	if s.server, err = database.Connect(ctx, p.database); err != nil {
		return nil, err
	}
	if s.queue, err = queue.Open(ctx, s.server, log); err != nil {
		return nil, err
	}
	s.news, err = notify.Open(p.database)
	return s, err
}

// folder is a site's list, photos and book, opened once.
func (s *shared) folder(ctx context.Context, site string) (*intake.Folder, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f := s.open[site]; f != nil {
		return f, nil
	}
	at := s.photos
	at.Prefix = path.Join(at.Prefix, site)
	store, err := bucket.Open(at, "")
	if err != nil {
		return nil, err
	}
	f, err := intake.OpenShared(ctx, intake.Shared{At: s.server.Schema(schemaOf(site)), Photos: store,
		Peers: intake.Peers{Site: site, Queue: s.queue, News: s.news}}, command.ProgramVersion())
	if err != nil {
		return nil, err
	}
	s.open[site] = f
	return f, nil
}

// later closes something with the rest.
func (s *shared) later(c io.Closer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.also = append(s.also, c)
}

// kitchen opens a site for the pages.
func (s *shared) kitchen(ctx context.Context, site string) (k served, err error) {
	at := s.server.Schema(schemaOf(site))
	kept, err := settings.OpenAt(ctx, at) // which refuses what is half moved
	if err != nil {
		return k, err
	}
	s.later(kept)
	accounts, err := account.OpenAt(ctx, at)
	if err != nil {
		return k, err
	}
	s.later(accounts)
	folder, err := s.folder(ctx, site)
	return served{folder: folder, accounts: accounts, kept: kept}, err
}

// runShared serves a kitchen that other computers serve, too.
func (o *serveOptions) runShared(ctx context.Context, house standard.Standard) (code int, err error) {
	s, err := o.at.openShared(ctx, o.quietly(o.Caller))
	if err != nil {
		return command.ExitRefused, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	k, err := s.kitchen(ctx, kitchenAlone)
	if err != nil {
		return command.ExitRefused, err
	}
	if k.group, err = s.sites(ctx); err != nil {
		return command.ExitRefused, err
	}
	if err := o.settings(ctx, k.kept); err != nil {
		return command.ExitUsage, err
	}
	return o.answer(ctx, k, house, func(ctx context.Context, p *worker.Pool, complain func(error)) {
		if o.workers == 0 { // others measure
			return
		}
		if err := s.work(ctx, p, serveGrace/2, complain); err != nil {
			complain(err)
		}
	})
}

// accounts opens them alone.
func (o *serveOptions) accounts(ctx context.Context) (a *account.Accounts, closed func() error, err error) {
	if o.at.database == "" {
		if _, err := os.Stat(o.data); err != nil {
			return nil, nil, command.Misuse("use-no-data", command.Quoted(o.data))
		}
		a, err = account.Open(ctx, filepath.Join(o.data, intake.AccountsFile))
		return a, a.Close, err
	}
	server, err := database.Connect(ctx, o.at.database)
	if err != nil {
		return nil, nil, err
	}
	a, err = account.OpenAt(ctx, server.Schema(schemaOf(kitchenAlone)))
	return a, func() error {
		defer server.Close()
		return a.Close()
	}, err
}

// Close closes all of it.
func (s *shared) Close() (err error) {
	for _, f := range s.open {
		err = errors.Join(err, f.Close())
	}
	for _, c := range s.also {
		err = errors.Join(err, c.Close())
	}
	if s.news != nil {
		s.news.Close()
	}
	if s.queue != nil {
		err = errors.Join(err, s.queue.Close())
	}
	if s.server != nil {
		s.server.Close()
	}
	return err
}
