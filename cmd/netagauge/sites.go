package main

import (
	"context"
	"errors"
	"maps"
	"net/http"
	"slices"

	"netagauge/internal/command"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/settings"
	"netagauge/internal/serve"
)

const sitesHelp = `Make one organisation of several kitchens on one PostgreSQL server, and list
them.

  netagauge sites --database postgres://netagauge@record.example/netagauge \
    --add kyoto --called en="Kyoto Campus",ja=京都校 --owner Mori
  netagauge sites --database … --close kyoto

Each site has its own trays, classes, line, people and record, which nobody of
another site sees. Its phones reach it by the same address: by their links, or
once by /at/NAME. The kitchen that was there before becomes the site "kitchen";
its links and cookies go on. Owners set up the rest on their pages. Servers that
run must be started anew when the first site is added.
`

// organisationSchema is where an organisation's own tables lie.
const organisationSchema = "organisation"

// group is an organisation, opened.
type group struct {
	place *shared
	kept  *organisation.Organisation
	own   *account.Accounts
	texts settings.Texts
}

// sites opens the organisation; nil where no site was ever added.
func (s *shared) sites(ctx context.Context) (*group, error) {
	at := s.server.Schema(organisationSchema)
	kept, err := organisation.Open(ctx, at)
	if err != nil {
		return nil, err
	}
	s.later(kept)
	if all, err := kept.Sites(ctx); err != nil || len(all) == 0 {
		return nil, err
	}
	g := &group{place: s, kept: kept}
	if g.own, err = account.OpenAt(ctx, at); err != nil {
		return nil, err
	}
	s.later(g.own)
	texts, err := settings.OpenAt(ctx, at)
	if err != nil {
		return nil, err
	}
	s.later(texts)
	g.texts = texts
	return g, nil
}

// pages are those of one kitchen or, with others, of all of them.
func (k served) pages(ctx context.Context, of serve.Options) (interface{ HTTP() *http.Server }, error) {
	if k.group == nil {
		return serve.New(ctx, of)
	}
	g, own := k.group, of
	own.Folder, own.Accounts, own.Settings = nil, g.own, g.texts
	return serve.NewOrganisation(ctx, serve.Sites{Options: own, Kept: g.kept, Open: func(ctx context.Context, site string) (serve.Options, error) {
		if site == kitchenAlone {
			return serve.Options{Folder: k.folder, Accounts: k.accounts, Settings: k.kept, Line: of.Line, Single: of.Single}, nil
		}
		s, err := g.place.kitchen(ctx, site)
		if err != nil {
			return serve.Options{}, err
		}
		s.folder.Taken = of.Numbers.At(site).Received
		return serve.Options{Folder: s.folder, Accounts: s.accounts, Settings: s.kept, Line: of.Line, Single: of.Single}, nil
	}}), nil
}

// sitesOptions are the flags of sites.
type sitesOptions struct {
	*command.Caller
	database, add, close, open, owner string
	called                            map[string]string
}

func runSites(ctx context.Context, args []string, to *command.Caller) (int, error) {
	o := sitesOptions{Caller: to}
	f := command.NewFlags("sites", sitesHelp, to)
	f.StringVar(&o.database, "database", "", "PostgreSQL server that keeps the record: postgres://USER@HOST/NAME; its password is read from PGPASSWORD")
	f.StringVar(&o.add, "add", "", "add a site of this short name")
	f.StringToStringVar(&o.called, "called", nil, "a `name` that people call it by, as LANGUAGE=NAME")
	f.Lookup("called").DefValue = ""
	f.StringVar(&o.close, "close", "", "close the site of this short name; its record is kept")
	f.StringVar(&o.open, "open", "", "open it again")
	f.StringVar(&o.owner, "owner", "", "make an owner's passcode for this name, in place of a lost one, and print it")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if o.database == "" {
		return command.ExitUsage, command.Misuse("use-database")
	}
	return o.run(ctx)
}

func (o *sitesOptions) run(ctx context.Context) (code int, err error) {
	server, err := database.Connect(ctx, o.database)
	if err != nil {
		return command.ExitRefused, err
	}
	defer server.Close()
	at := server.Schema(organisationSchema)
	kept, err := organisation.Open(ctx, at)
	if err != nil {
		return command.ExitRefused, err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	if err := o.change(ctx, kept); err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	if o.owner != "" {
		accounts, err := account.OpenAt(ctx, at)
		if err != nil {
			return command.ExitRefused, err
		}
		defer accounts.Close()
		passcode, err := accounts.RenewPasscode(ctx, o.owner)
		if err != nil {
			return command.ExitUsage, command.MisuseOf(err)
		}
		o.Say("ran-passcode", command.Quoted(o.owner), passcode)
		o.Say("ran-once")
	}
	return command.ExitPass, o.list(ctx, kept)
}

func (o *sitesOptions) change(ctx context.Context, kept *organisation.Organisation) error {
	if o.add != "" {
		all, err := kept.Sites(ctx)
		if err == nil && len(all) == 0 {
			err = kept.Add(ctx, organisation.Site{Name: kitchenAlone, Original: true, Titles: map[string]string{"en": "Kitchen", "ja": "キッチン"}})
		}
		if err != nil {
			return err
		}
		titles := maps.Clone(o.called)
		if len(titles) == 0 {
			titles = map[string]string{"en": o.add}
		}
		if err := kept.Add(ctx, organisation.Site{Name: o.add, Titles: titles}); err != nil {
			return err
		}
	}
	return errors.Join(o.set(ctx, kept, o.close, true), o.set(ctx, kept, o.open, false))
}

func (o *sitesOptions) set(ctx context.Context, kept *organisation.Organisation, site string, closed bool) error {
	if site == "" {
		return nil
	}
	all, err := kept.Sites(ctx)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(all, func(s organisation.Site) bool { return s.Name == site }) {
		return command.Misuse("use-no-site", command.Quoted(site))
	}
	return kept.SetClosed(ctx, site, closed)
}

func (o *sitesOptions) list(ctx context.Context, kept *organisation.Organisation) error {
	all, err := kept.Sites(ctx)
	for _, s := range all {
		key := "ran-site"
		if s.Closed {
			key = "ran-site-closed"
		}
		o.Say(key, s.Name, s.Title(o.Tag()))
	}
	return err
}
