package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"image"
	"image/color"
	"image/draw"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/intake"
)

// The code drawn with half blocks reads back, by another library.
func TestPrintedQRCodeReadsBack(t *testing.T) {
	const want = "http://192.168.100.200:8080"
	var b bytes.Buffer
	fatal.If(t, printQR(&b, want))
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	const module = 8
	img := image.NewGray(image.Rect(0, 0, module*(len([]rune(lines[0]))+4), module*(2*len(lines)+4)))
	draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
	for row, line := range lines {
		for x, r := range []rune(line) {
			for half, light := range []bool{r == '█' || r == '▀', r == '█' || r == '▄'} {
				if !light {
					at := image.Pt(module*(x+2), module*(2*row+half+2))
					draw.Draw(img, image.Rectangle{at, at.Add(image.Pt(module, module))}, image.NewUniform(color.Black), image.Point{}, draw.Src)
				}
			}
		}
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	fatal.If(t, err)
	got, err := qrcode.NewQRCodeReader().Decode(bits, nil)
	if err != nil || got.GetText() != want {
		t.Errorf("it reads %v, %v; want %q\n%s", got, err, want, b.String())
	}
}

// serving starts serve in this process and returns its address and what it
// printed; done gets its exit code.
func serving(t *testing.T, ctx context.Context, args ...string) (said string, done chan int) {
	t.Helper()
	r, w := io.Pipe()
	done = make(chan int, 1)
	go func() {
		done <- run(ctx, append([]string{"serve", "--listen", "127.0.0.1:0"}, args...), w, w)
		w.Close()
	}()
	var b strings.Builder
	buf := make([]byte, 4096)
	for !strings.Contains(b.String(), "Ctrl-C stops") {
		n, err := r.Read(buf)
		b.Write(buf[:n])
		if err != nil {
			t.Fatalf("it ended with %d and said:\n%s", <-done, b.String())
		}
	}
	go io.Copy(io.Discard, r)
	return b.String(), done
}

func addressIn(t *testing.T, said string) string {
	t.Helper()
	_, after, ok := strings.Cut(said, "The pages are at ")
	if !ok {
		t.Fatalf("no address in:\n%s", said)
	}
	address, _, _ := strings.Cut(after, "\n")
	return address
}

// It answers, prints the first passcode once, refuses a second server on its
// folder, and stops when told to.
func TestServe(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen")
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	said, done := serving(t, ctx, "--data", dir)
	if !strings.Contains(said, "First sign-in") || !strings.Contains(said, "Class code: ") {
		t.Errorf("a new folder's server says:\n%s", said)
	}
	answer, err := http.Get(addressIn(t, said) + "/")
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("the start page: %v, %v", answer, err)
	}
	answer.Body.Close()
	var b bytes.Buffer
	if code := run(ctx, []string{"serve", "--data", dir, "--listen", "127.0.0.1:0"}, &b, &b); code != command.ExitRefused || !strings.Contains(b.String(), intake.ErrInUse.Error()) {
		t.Errorf("a second server ended with %d and said %q", code, b.String())
	}
	stop()
	select {
	case code := <-done:
		if code != command.ExitPass {
			t.Errorf("stopped, it ended with %d", code)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("it did not stop")
	}
	ctx, stop = context.WithCancel(context.Background())
	said, done = serving(t, ctx, "--data", dir)
	if strings.Contains(said, "First sign-in") {
		t.Error("the first passcode was made twice")
	}
	stop()
	<-done
}

func TestServeSaysThatThePortIsTaken(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	defer l.Close()
	var b bytes.Buffer
	code := run(context.Background(), []string{"serve", "--data", t.TempDir(), "--listen", l.Addr().String()}, &b, &b)
	if code != command.ExitUsage || !strings.Contains(b.String(), "--listen") {
		t.Errorf("exit code %d, said %q", code, b.String())
	}
}

// With a certificate the pages, the links and the cookies are those of TLS.
func TestServeTLS(t *testing.T) {
	dir := t.TempDir()
	cert, key, roots := selfSigned(t, dir)
	ctx, stop := context.WithCancel(context.Background())
	said, done := serving(t, ctx, "--data", filepath.Join(dir, "kitchen"), "--tls-cert", cert, "--tls-key", key)
	defer func() { stop(); <-done }()
	address := addressIn(t, said)
	if !strings.HasPrefix(address, "https://") {
		t.Fatalf("address %q", address)
	}
	c := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}}}
	answer, err := c.Get(address + "/language?to=ja")
	fatal.If(t, err)
	answer.Body.Close()
	if cookie := answer.Request.Response.Header.Get("Set-Cookie"); !strings.Contains(cookie, "Secure") {
		t.Errorf("cookie %q is not for TLS alone", cookie)
	}
}

// Without further ado the server has a certificate of its own: one port answers
// under TLS to who has installed it, and as before to who has not, who is told.
func TestServeOwnAuthority(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kitchen")
	ctx, stop := context.WithCancel(context.Background())
	said, done := serving(t, ctx, "--data", dir)
	defer func() { stop(); <-done }()
	address := addressIn(t, said)
	get := func(c *http.Client, address string) (*http.Response, string) {
		t.Helper()
		a, err := c.Get(address)
		fatal.If(t, err)
		defer a.Body.Close()
		body, err := io.ReadAll(a.Body)
		if err != nil || a.StatusCode != http.StatusOK {
			t.Fatalf("%s: %s, %v\n%s", address, a.Status, err, body)
		}
		return a, string(body)
	}
	if _, body := get(http.DefaultClient, address+"/"); !strings.Contains(body, "can read this page") {
		t.Errorf("a phone without the certificate is not told what it lacks:\n%s", body)
	}
	_, steps := get(http.DefaultClient, address+"/install")
	print := regexp.MustCompile(`(?:[0-9A-F]{2}:){31}[0-9A-F]{2}`).FindString(said)
	inLines := regexp.MustCompile(`</code><br><code[^>]*>`).ReplaceAllString(steps, ":") // eight bytes a line
	if print == "" || !strings.Contains(inLines, print) {
		t.Errorf("fingerprint %q is not on the page:\n%s", print, steps)
	}
	a, der := get(http.DefaultClient, address+"/install/netagauge.crt")
	cert, err := x509.ParseCertificate([]byte(der))
	if err != nil || a.Header.Get("Content-Type") != "application/x-x509-ca-cert" {
		t.Fatalf("the certificate: %v, %v", err, a.Header)
	}
	roots := x509.NewCertPool()
	roots.AddCert(cert)
	under := "https" + strings.TrimPrefix(address, "http")
	c := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}}}
	a, body := get(c, under+"/language?to=en&back=/")
	if strings.Contains(body, "can read this page") || a.Header.Get("Strict-Transport-Security") != "" {
		t.Errorf("a phone with the certificate gets %v\n%s", a.Header, body)
	}
	if cookie := a.Request.Response.Header.Get("Set-Cookie"); !strings.Contains(cookie, "Secure") {
		t.Errorf("cookie %q is not for TLS alone", cookie)
	}
	if _, err := (&http.Client{Transport: &http.Transport{}}).Get(under + "/"); err == nil {
		t.Error("who has not installed the certificate takes it")
	}
	// A lost passcode is replaced while the class runs.
	for range 2 {
		if code, out, errs := netagauge("serve", "--data", dir, "--new-passcode", "instructor"); code != command.ExitPass || !strings.Contains(out, "passcode of") {
			t.Errorf("a new passcode: %d %s %s", code, out, errs)
		}
	}
	_, out, _ := netagauge("serve", "--data", dir, "--new-passcode", "instructor")
	_, passcode, _ := strings.Cut(out, ": ")
	passcode, _, _ = strings.Cut(passcode, "\n")
	in, err := (&http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}).PostForm(address+"/signin", url.Values{"name": {"instructor"}, "passcode": {passcode}})
	if err != nil || in.StatusCode != http.StatusSeeOther {
		t.Errorf("signing in with it: %v, %v", in, err)
	}
}

func TestServePlain(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	said, done := serving(t, ctx, "--data", filepath.Join(t.TempDir(), "kitchen"), "--plain")
	defer func() { stop(); <-done }()
	address := addressIn(t, said)
	if !strings.Contains(said, "Without TLS") {
		t.Errorf("no warning in:\n%s", said)
	}
	for path, want := range map[string]int{"/": http.StatusOK, "/install": http.StatusNotFound, "/install/netagauge.crt": http.StatusNotFound} {
		a, err := http.Get(address + path)
		fatal.If(t, err)
		a.Body.Close()
		if a.StatusCode != want {
			t.Errorf("%s: %s", path, a.Status)
		}
	}
}

// selfSigned writes a certificate for 127.0.0.1 and its key.
func selfSigned(t *testing.T, dir string) (cert, key string, roots *x509.CertPool) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	fatal.If(t, err)
	now := time.Now()
	about := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: now.Add(-time.Hour), NotAfter: now.Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		IsCA: true, BasicConstraintsValid: true}
	signed, err := x509.CreateCertificate(rand.Reader, about, about, private.Public(), private)
	fatal.If(t, err)
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	fatal.If(t, err)
	cert, key, roots = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem"), x509.NewCertPool()
	for path, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: signed}, key: {Type: "PRIVATE KEY", Bytes: secret}} {
		fatal.If(t, os.WriteFile(path, pem.EncodeToMemory(block), 0o600))
	}
	parsed, err := x509.ParseCertificate(signed)
	fatal.If(t, err)
	roots.AddCert(parsed)
	return cert, key, roots
}
