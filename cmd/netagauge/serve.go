package main

import (
	"context"
	"errors"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/serve"
	"netagauge/internal/serve/gate"
	"netagauge/internal/serve/localca"
	"netagauge/internal/serve/metrics"
	"netagauge/internal/serve/openid"
	"netagauge/internal/work/class"
	"netagauge/internal/work/worker"
)

const serveHelp = `Serve the pages for phones: trainees send photos and see results, instructors
watch the class, chefs the line.

  netagauge serve --data kitchen
  netagauge serve --data kitchen --listen :8443 --tls-cert cert.pem \
    --tls-key key.pem
  netagauge serve --data kitchen --new-passcode Aoi
  netagauge serve --database postgres://netagauge@record.example/netagauge \
    --photos 's3://kitchens/trays?endpoint=https://photos.example'

Everything is kept in the one data folder. The first start prints an
instructor's passcode: write it down. It also makes a certificate of this
kitchen, which phones install once (the page /install says how) and then talk to
the server unread by others. A phone without it uses the pages as they are:
whoever shares the network can read along. Stopped with Ctrl-C, or in any other
way, the same command goes on where it stopped.

With --database and --photos any number of computers serve the same kitchen, and
netagauge work measures on any number of others.
`

// openidSecret is the variable of the environment with the client's secret.
const openidSecret = "NETAGAUGE_OPENID_SECRET"

// provider is what people may sign in by; nil without one.
func (o *serveOptions) provider() *openid.Provider {
	if o.openid.Issuer == "" {
		return nil
	}
	o.openid.Secret = os.Getenv(openidSecret)
	return openid.New(o.openid)
}

// serveOptions are the flags of serve.
type serveOptions struct {
	*command.Caller
	data, listen, cert, key string
	roster, standard, line  string
	passFor                 string
	names, proxies          []string
	believed                gate.Proxies // which those are
	plain                   bool
	watching
	workers int
	openid  openid.Options
	at      sharedPlace
}

func runServe(ctx context.Context, args []string, to *command.Caller) (int, error) {
	o := serveOptions{Caller: to}
	f := command.NewFlags("serve", serveHelp, to)
	f.StringVar(&o.data, "data", "", "data folder; it is made when it is not there")
	o.at.flags(f)
	f.StringVar(&o.listen, "listen", ":8080", "address to listen on, such as :8080 or 192.168.1.20:80")
	f.StringVar(&o.cert, "tls-cert", "", "certificate file (PEM) for TLS")
	f.StringVar(&o.key, "tls-key", "", "key file (PEM) of the certificate")
	f.BoolVar(&o.plain, "plain", false, "no TLS at all: whoever shares the network can read along")
	f.StringVar(&o.roster, "roster", "", "put this roster (CSV) into the data folder, in place of the one there")
	f.StringVar(&o.standard, "standard", "", "put this house standard (TOML) into the data folder, in place of the one there")
	f.StringVar(&o.line, "line", "line", "name of the line that spot checks go to")
	f.IntVar(&o.workers, "workers", 2, "photos measured at once, each in a process of its own; with --database also 0, where others measure")
	f.StringSliceVar(&o.names, "name", nil, "a further `name` that phones reach this computer by, such as kitchen.example; it answers to its own name and addresses anyway")
	f.StringSliceVar(&o.proxies, "proxy", nil, "`address` (or network, 10.0.0.0/24) of a load balancer in front, which is believed in its X-Forwarded-For and X-Forwarded-Proto; nobody else is")
	f.StringVar(&o.openid.Issuer, "openid", "", "address of the OpenID provider (its issuer) that people may sign in by, beside passcodes; the client's secret is read from "+openidSecret)
	f.StringVar(&o.openid.Client, "openid-client", "netagauge", "name that this program is registered under at the provider")
	f.StringVar(&o.openid.Back, "openid-back", "", "whole address that is registered for coming back, such as https://kitchen.example"+openid.BackPath+"; else that which the page was asked for by")
	o.watching.flags(f)
	f.StringVar(&o.passFor, "new-passcode", "", "make an instructor's passcode for this name, in place of a lost one, print it and stop; the server may go on meanwhile")
	if err := to.ParseOptions(f, args); err != nil {
		return command.ExitUsage, err
	}
	if err := o.check(f); err != nil {
		return command.ExitUsage, err
	}
	return o.run(ctx)
}

func (o *serveOptions) check(f *pflag.FlagSet) (err error) {
	if o.believed, err = gate.ParseProxies(o.proxies); err != nil {
		return command.MisuseOf(err)
	}
	if err := o.at.check(o.data); err != nil {
		return err
	}
	switch {
	case (o.cert == "") != (o.key == ""):
		return command.Misuse("use-tls-both")
	case o.plain && o.cert != "":
		return command.Misuse("use-either", "--plain", "--tls-cert")
	case o.passFor != "" && o.roster+o.standard != "":
		return command.Misuse("use-passcode-alone")
	case strings.TrimSpace(o.line) == "":
		return command.Misuse("use-line-name")
	case o.workers < 1 && o.at.database == "" || o.workers < 0 || o.workers > 64:
		return command.Misuse("use-workers", o.workers)
	}
	return nil
}

func (o *serveOptions) run(ctx context.Context) (code int, err error) {
	house, err := command.LoadStandard(o.standard, false)
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	if o.passFor != "" {
		return o.newPasscode(ctx)
	}
	if o.roster != "" {
		if _, err := class.LoadRoster(o.roster); err != nil {
			return command.ExitUsage, command.MisuseOf(err)
		}
	}
	if o.at.database != "" {
		return o.runShared(ctx, house)
	}
	folder, err := intake.Open(ctx, o.data, command.ProgramVersion())
	if err != nil {
		return command.ExitRefused, err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	accounts, err := account.Open(ctx, filepath.Join(o.data, intake.AccountsFile))
	if err != nil {
		return command.ExitRefused, err
	}
	defer func() { err = errors.Join(err, accounts.Close()) }()
	kept := settings.InFolder(o.data)
	if err := o.settings(ctx, kept); err != nil {
		return command.ExitUsage, err
	}
	measure := func(ctx context.Context, p *worker.Pool, complain func(error)) { worker.Run(ctx, folder, p, complain) }
	return o.answer(ctx, served{folder: folder, accounts: accounts, kept: kept}, house, measure)
}

// newPasscode lets in who lost theirs, also while the folder is served.
func (o *serveOptions) newPasscode(ctx context.Context) (code int, err error) {
	a, closed, err := o.accounts(ctx)
	if err != nil {
		return command.ExitUsage, err
	}
	defer func() { err = errors.Join(err, closed()) }()
	passcode, err := a.RenewPasscode(ctx, o.passFor)
	if err != nil {
		return command.ExitUsage, command.MisuseOf(err)
	}
	o.Say("ran-passcode", command.Quoted(o.passFor), passcode)
	o.Say("ran-once")
	return command.ExitPass, nil
}

// answer serves the pages and measures photos until ctx is done.
func (o *serveOptions) answer(ctx context.Context, k served, house standard.Standard, measure func(context.Context, *worker.Pool, func(error))) (int, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	listener, err := net.Listen("tcp", o.listen)
	if err != nil {
		return command.ExitUsage, phrase.Because(err, "use-listen")
	}
	defer listener.Close()
	base := o.base(listener)
	authority, err := o.authority(ctx, k.kept)
	if err != nil {
		return command.ExitRefused, err
	}
	logged := metrics.Log(o.Err, o.logJSON, "")
	numbers := k.numbers()
	k.folder.Taken = numbers.At(kitchenAlone).Received
	closeNumbers, err := giveNumbers(o.metrics, numbers, logged)
	if err != nil {
		return command.ExitUsage, err
	}
	defer closeNumbers()
	pool := countedPool(max(1, o.workers), numbers, logged)
	defer pool.Close()
	site, err := k.pages(ctx, serve.Options{
		Folder: k.folder, Accounts: k.accounts, Settings: k.kept, Log: logged, Numbers: numbers, Workers: pool.Ready, Base: base, Names: o.allNames(),
		Strict: o.cert != "", Authority: authority, Line: o.line, Single: pool.ForPeople(), Standard: house, Openid: o.provider(),
	})
	if err != nil {
		return command.ExitRefused, err
	}
	if err := o.welcome(ctx, k.accounts, base, authority, k.folder.Found()); err != nil {
		return command.ExitRefused, err
	}
	measuring := make(chan struct{})
	go func() {
		measure(ctx, pool, func(err error) { logged.Error("measure", "err", err) })
		close(measuring)
	}()
	err = o.serve(ctx, site.HTTP(), listener, authority)
	stop()
	<-measuring
	return command.ExitPass, err
}

// settings keeps the files named on the command line.
func (o *serveOptions) settings(ctx context.Context, kept settings.Texts) error {
	for _, x := range []struct{ from, to string }{{o.roster, settings.Roster}, {o.standard, settings.Standard}} {
		if x.from == "" {
			continue
		}
		text, err := os.ReadFile(x.from)
		if err != nil {
			return command.MisuseOf(err)
		}
		if err := kept.Keep(ctx, x.to, string(text)); err != nil {
			return err
		}
	}
	return nil
}

// serve answers until ctx is done, then lets photos that are arriving finish.
func (o *serveOptions) serve(ctx context.Context, h *http.Server, l net.Listener, authority *localca.Authority) error {
	done := make(chan error, 1)
	limits := gate.Usual
	limits.Proxies = o.believed
	door := gate.Before(h, l, limits)
	go func() {
		switch {
		case o.cert != "":
			done <- h.ServeTLS(door, o.cert, o.key)
		case authority != nil:
			done <- h.Serve(gate.Split(door, authority.Config(o.allNames())))
		default:
			done <- h.Serve(door)
		}
	}()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	leave, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	if err := h.Shutdown(leave); err != nil {
		return h.Close() // whoever was still sending was not told "received"
	}
	return nil
}

// authority is the kitchen's own certificate authority; nil where there is another
// certificate, or none.
func (o *serveOptions) authority(ctx context.Context, kept settings.Texts) (*localca.Authority, error) {
	if o.plain || o.cert != "" {
		return nil, nil
	}
	return localca.Open(ctx, kept, o.allNames())
}

// allNames are what this computer is called on a local network, and the names that
// --name gives it.
func (o *serveOptions) allNames() []string {
	names := append([]string{"localhost"}, o.names...)
	if host, err := os.Hostname(); err == nil {
		names = append(names, host, host+".local")
	}
	return names
}
