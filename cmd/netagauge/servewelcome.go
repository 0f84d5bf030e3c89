package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"strings"

	"github.com/boombuler/barcode/qr"

	"netagauge/internal/command"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/serve/localca"
)

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
func (o *serveOptions) welcome(ctx context.Context, a *account.Accounts, base string, authority *localca.Authority, found intake.Found) error {
	o.Say("ran-pages", base)
	if err := printQR(o.Out, base); err != nil {
		return err
	}
	switch {
	case authority != nil:
		o.Say("ran-unread", "https"+strings.TrimPrefix(base, "http"), base+"/install")
		o.Say("ran-fingerprint")
		fmt.Fprintf(o.Out, "  %s\n", authority.Fingerprint())
	case o.plain:
		o.Say("ran-plain")
	}
	if n := found.Interrupted + found.Unclaimed + found.Missing; n > 0 {
		o.Say("ran-found", found.Interrupted, found.Unclaimed, found.Missing)
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
		o.Say("ran-first", command.Quoted("instructor"), passcode)
		o.Say("ran-write-down")
	}
	code, err := a.ClassCode(ctx)
	if err != nil {
		return err
	}
	o.Say("ran-class-code", code)
	o.Say("ran-ctrl-c")
	return nil
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
	colours := command.IsTerminal(out)
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
