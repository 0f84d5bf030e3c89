package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/boombuler/barcode/qr"
	"github.com/spf13/pflag"
	"golang.org/x/net/netutil"

	"netagauge/internal/account"
	"netagauge/internal/atomicfile"
	"netagauge/internal/class"
	"netagauge/internal/intake"
	"netagauge/internal/serve"
)

const serveHelp = `Serve the pages for phones: trainees send photos and see results, instructors watch the class, chefs the line.

  netagauge serve --data kitchen
  netagauge serve --data kitchen --listen :8443 --tls-cert cert.pem --tls-key key.pem
  netagauge serve --data kitchen --backup kitchen.tar.gz
  netagauge serve --data restored --restore kitchen.tar.gz

Everything is kept in the one data folder. The first start prints an instructor's passcode: write it down.
Without TLS whoever shares the network can read along: serve a network of your own.
Stopped with Ctrl-C, or in any other way, the same command goes on where it stopped.
`

// serveOptions are the flags of serve.
type serveOptions struct {
	data, listen, cert, key  string
	roster, standard, line   string
	backup, restore, passFor string
	workers                  int
}

func runServe(ctx context.Context, args []string, out, errw io.Writer) (int, error) {
	var o serveOptions
	f := newFlags("serve", serveHelp, out)
	f.StringVar(&o.data, "data", "", "data folder; it is made when it is not there")
	f.StringVar(&o.listen, "listen", ":8080", "address to listen on, such as :8080 or 192.168.1.20:80")
	f.StringVar(&o.cert, "tls-cert", "", "certificate file (PEM) for TLS")
	f.StringVar(&o.key, "tls-key", "", "key file (PEM) of the certificate")
	f.StringVar(&o.roster, "roster", "", "put this roster (CSV) into the data folder, in place of the one there")
	f.StringVar(&o.standard, "standard", "", "put this house standard (TOML) into the data folder, in place of the one there")
	f.StringVar(&o.line, "line", "line", "name of the line that spot checks go to")
	f.IntVar(&o.workers, "workers", 2, "photos measured at once, each in a process of its own")
	f.StringVar(&o.passFor, "new-passcode", "", "make an instructor's passcode for this name, print it and stop")
	f.StringVar(&o.backup, "backup", "", "write a copy of the data folder to this file and stop; the folder may be in use")
	f.StringVar(&o.restore, "restore", "", "fill an empty data folder from this backup and stop")
	if err := parse(f, args); err != nil {
		return exitUsage, err
	}
	if err := o.check(f); err != nil {
		return exitUsage, err
	}
	switch {
	case o.backup != "":
		return o.doBackup(ctx, out)
	case o.restore != "":
		return o.doRestore(ctx, out)
	}
	return o.run(ctx, out, errw)
}

func (o *serveOptions) check(f *pflag.FlagSet) error {
	switch {
	case f.NArg() > 0:
		return usagef("there is nothing to do with %q", f.Arg(0))
	case o.data == "":
		return usagef("name the data folder: --data kitchen")
	case (o.cert == "") != (o.key == ""):
		return usagef("--tls-cert and --tls-key go together")
	case strings.TrimSpace(o.line) == "":
		return usagef("give the line a name")
	case o.workers < 1 || o.workers > 64:
		return usagef("%d photos at once cannot be; give 1 to 64", o.workers)
	case o.backup != "" && o.restore != "":
		return usagef("give --backup or --restore")
	}
	return nil
}

func (o *serveOptions) run(ctx context.Context, out, errw io.Writer) (code int, err error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	house, err := loadStandard(o.standard, false)
	if err != nil {
		return exitUsage, usageError{err}
	}
	folder, err := intake.Open(ctx, o.data, programVersion())
	if err != nil {
		return exitRefused, err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	accounts, err := account.Open(ctx, filepath.Join(o.data, "accounts.sqlite"))
	if err != nil {
		return exitRefused, err
	}
	defer func() { err = errors.Join(err, accounts.Close()) }()
	if err := o.settings(); err != nil {
		return exitUsage, err
	}
	if o.passFor != "" {
		passcode, err := accounts.AddPasscode(ctx, account.Instructor, o.passFor)
		if err != nil {
			return exitUsage, err
		}
		fmt.Fprintf(out, "passcode of %q: %s\nIt is not shown again.\n", o.passFor, passcode)
		return exitPass, nil
	}
	listener, err := net.Listen("tcp", o.listen)
	if err != nil {
		return exitUsage, fmt.Errorf("%w; name another address with --listen", err)
	}
	self, err := os.Executable()
	if err != nil {
		return exitRefused, err
	}
	site, err := serve.New(ctx, serve.Options{
		Folder: folder, Accounts: accounts, Log: log.New(errw, "netagauge serve: ", log.LstdFlags), Base: o.base(listener),
		Secure: o.cert != "", Line: o.line, Program: self, Standard: house,
	})
	if err != nil {
		return exitRefused, err
	}
	if err := o.welcome(ctx, out, accounts, o.base(listener), folder.Found()); err != nil {
		return exitRefused, err
	}
	measuring := make(chan error, 1)
	go func() { measuring <- o.measure(ctx, folder, errw) }()
	err = o.serve(ctx, site.HTTP(), listener)
	stop()
	return exitPass, errors.Join(err, <-measuring)
}

// settings puts files named on the command line into the data folder.
func (o *serveOptions) settings() error {
	if o.roster != "" {
		if _, err := class.LoadRoster(o.roster); err != nil {
			return usageError{err}
		}
	}
	for _, x := range []struct{ from, to string }{{o.roster, "roster.csv"}, {o.standard, "standard.toml"}} {
		if x.from == "" {
			continue
		}
		if err := copyFile(x.from, filepath.Join(o.data, x.to)); err != nil {
			return err
		}
	}
	return nil
}

// connections bounds the open connections: a class and its onlookers.
const connections = 400

// serve answers until ctx is done, then lets photos that are arriving finish.
func (o *serveOptions) serve(ctx context.Context, h *http.Server, l net.Listener) error {
	done := make(chan error, 1)
	l = netutil.LimitListener(l, connections)
	go func() {
		if o.cert != "" {
			done <- h.ServeTLS(l, o.cert, o.key)
			return
		}
		done <- h.Serve(l)
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

// base is the site's address as phones on the network reach it.
func (o *serveOptions) base(l net.Listener) string {
	scheme := "http"
	if o.cert != "" {
		scheme = "https"
	}
	host, port, _ := net.SplitHostPort(l.Addr().String())
	if ip := net.ParseIP(host); ip == nil || ip.IsUnspecified() {
		host = lanAddress()
	}
	if scheme == "http" && port == "80" || scheme == "https" && port == "443" {
		return scheme + "://" + host
	}
	return scheme + "://" + net.JoinHostPort(host, port)
}

// lanAddress is the machine's first address on a private network, or any other
// that is not its own loop.
func lanAddress() string {
	found := "localhost"
	addresses, _ := net.InterfaceAddrs()
	for _, a := range addresses {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.To4() == nil || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast() {
			continue
		}
		if n.IP.IsPrivate() {
			return n.IP.String()
		}
		found = n.IP.String()
	}
	return found
}

// welcome prints where the pages are, and a new folder's first passcode.
func (o *serveOptions) welcome(ctx context.Context, out io.Writer, a *account.Accounts, base string, found intake.Found) error {
	fmt.Fprintf(out, "The pages are at %s\n", base)
	if err := printQR(out, base); err != nil {
		return err
	}
	if n := found.Interrupted + found.Unclaimed + found.Missing; n > 0 {
		fmt.Fprintf(out, "After the last stop: %d photos are measured anew, %d were never told received and lie in unclaimed/, %d are missing.\n",
			found.Interrupted, found.Unclaimed, found.Missing)
	}
	all, err := a.Passcodes(ctx)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		passcode, err := a.AddPasscode(ctx, account.Instructor, "instructor")
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "First sign-in: name \"instructor\", passcode %s\nWrite it down: it is not shown again. A lost one is replaced with --new-passcode NAME.\n", passcode)
	}
	code, err := a.ClassCode(ctx)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "Class code: %s\nCtrl-C stops.\n", code)
	return err
}

// printQR draws a QR code with half blocks, dark on light, so that a phone reads
// it off a terminal of either colour.
func printQR(out io.Writer, text string) error {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return err
	}
	const quiet = 2
	n := code.Bounds().Dx()
	light := func(x, y int) bool {
		if x < 0 || y < 0 || x >= n || y >= n {
			return true
		}
		v, _, _, _ := code.At(x, y).RGBA()
		return v != 0
	}
	colours := isTerminal(out)
	for y := -quiet; y < n+quiet; y += 2 {
		var b strings.Builder
		for x := -quiet; x < n+quiet; x++ {
			b.WriteString(map[[2]bool]string{{true, true}: "█", {true, false}: "▀", {false, true}: "▄", {false, false}: " "}[[2]bool{light(x, y), light(x, y+1)}])
		}
		line := b.String()
		if colours {
			line = "\x1b[97;40m" + line + "\x1b[0m"
		}
		if _, err := fmt.Fprintln(out, line); err != nil {
			return err
		}
	}
	return nil
}

func (o *serveOptions) doBackup(ctx context.Context, out io.Writer) (int, error) {
	f, err := os.OpenFile(o.backup, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return exitUsage, usageError{err}
	}
	if err := errors.Join(intake.Backup(ctx, o.data, f), f.Sync(), f.Close()); err != nil {
		os.Remove(o.backup)
		return exitRefused, err
	}
	fmt.Fprintf(out, "%s holds all of %s, with the photos as they came: keep it where only you can read it.\n", o.backup, o.data)
	return exitPass, nil
}

func (o *serveOptions) doRestore(ctx context.Context, out io.Writer) (int, error) {
	f, err := os.Open(o.restore)
	if err != nil {
		return exitUsage, usageError{err}
	}
	defer f.Close()
	if err := intake.Restore(ctx, f, o.data); err != nil {
		return exitRefused, err
	}
	fmt.Fprintf(out, "%s is filled from %s.\n", o.data, o.restore)
	return exitPass, nil
}

func copyFile(from, to string) error {
	data, err := os.ReadFile(from)
	if err != nil {
		return usageError{err}
	}
	return atomicfile.Write(to, data)
}
