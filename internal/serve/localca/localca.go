// Package localca is a certificate authority of one kitchen: phones that have
// installed its certificate talk to the kitchen's server, and to nothing else,
// under TLS. Its certificate is good for names and addresses of local networks
// alone (RFC 5280, 4.2.1.10), so that its key, stolen, opens nothing elsewhere. The
// server's own certificates are short-lived and made as addresses change.
package localca

import (
	"bytes"
	"context"
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/settings"
)

// How long certificates are good for, and how long before its end the server's is
// made anew. Our setting; phones take up to 825 days from an authority that their
// owner installed.
const (
	rootLasts = 5 * 365 * 24 * time.Hour
	leafLasts = 90 * 24 * time.Hour
	renewed   = 30 * 24 * time.Hour
)

// Authority is the kitchen's.
type Authority struct {
	cert *x509.Certificate
	key  crypto.Signer
	now  func() time.Time

	mu    sync.Mutex
	leaf  *tls.Certificate
	names []string // of the leaf
	ips   []net.IP
}

// Open reads an authority from a kitchen's settings, or makes one, for the names given
// beside local addresses.
func Open(ctx context.Context, in settings.Texts, names []string) (*Authority, error) {
	cert, err := in.Read(ctx, settings.Authority)
	if errors.Is(err, fs.ErrNotExist) {
		if err = create(ctx, in, names); err != nil {
			return nil, phrase.Because(err, "ca-make")
		}
		cert, err = in.Read(ctx, settings.Authority)
	}
	secret, errKey := settings.Text(ctx, in, settings.AuthorityKey)
	if err := errors.Join(err, errKey); err != nil {
		return nil, err
	}
	pair, err := tls.X509KeyPair([]byte(cert), []byte(secret))
	if err != nil {
		return nil, phrase.Because(err, "ca-read", settings.Authority)
	}
	key, ok := pair.PrivateKey.(crypto.Signer)
	if !ok || !pair.Leaf.IsCA {
		return nil, phrase.Wrong("ca-read", settings.Authority)
	}
	return &Authority{cert: pair.Leaf, key: key, now: time.Now}, nil
}

// local are the addresses of local networks and of the own computer: RFC 1918, 3927,
// 4193, 4291 and 1122.
var local = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128"}

// create makes the key first: a certificate says that both are there. One whose
// certificate was not made is taken up.
func create(ctx context.Context, in settings.Texts, names []string) error {
	secret, err := settings.Begin(ctx, in, settings.AuthorityKey, newKey)
	if err != nil {
		return err
	}
	key, err := readKey(secret)
	if err != nil {
		return err
	}
	_, err = settings.Begin(ctx, in, settings.Authority, func() (string, error) { return signed(key, names) })
	return err
}

func newKey() (string, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return "", err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	return string(pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})), err
}

func readKey(text string) (crypto.Signer, error) {
	block, _ := pem.Decode([]byte(text))
	if block == nil {
		return nil, phrase.Wrong("ca-read", settings.AuthorityKey)
	}
	key, err := x509.ParsePKCS8PrivateKey(block.Bytes)
	signer, ok := key.(crypto.Signer)
	if err != nil || !ok {
		return nil, phrase.Wrong("ca-read", settings.AuthorityKey)
	}
	return signer, nil
}

// signed is the authority's certificate of its own key.
func signed(key crypto.Signer, names []string) (string, error) {
	var nets []*net.IPNet
	for _, s := range local {
		_, n, err := net.ParseCIDR(s)
		if err != nil {
			return "", err
		}
		nets = append(nets, n)
	}
	host, _ := os.Hostname()
	about := &x509.Certificate{
		SerialNumber: serial(), Subject: pkix.Name{CommonName: "netagauge kitchen " + host},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(rootLasts),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true, KeyUsage: x509.KeyUsageCertSign | x509.KeyUsageDigitalSignature,
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: append([]string{"local"}, names...), PermittedIPRanges: nets,
	}
	cert, err := x509.CreateCertificate(rand.Reader, about, about, key.Public(), key)
	return string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: cert})), err
}

func serial() *big.Int {
	n, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		panic(err) // crypto/rand does not fail
	}
	return n
}

// Certificate is what phones install.
func (a *Authority) Certificate() []byte { return a.cert.Raw }

// Fingerprint is the SHA-256 of the certificate as phones show it.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.cert.Raw)
	return strings.ReplaceAll(fmt.Sprintf("% X", sum[:]), " ", ":")
}

// Config answers with a certificate for the names and the addresses that the
// computer has by then.
func (a *Authority) Config(names []string) *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return a.current(names) }}
}

func (a *Authority) current(names []string) (*tls.Certificate, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	ips := addresses()
	same := slices.EqualFunc(ips, a.ips, net.IP.Equal) && slices.Equal(names, a.names)
	if a.leaf != nil && same && a.now().Before(a.leaf.Leaf.NotAfter.Add(-renewed)) {
		return a.leaf, nil
	}
	leaf, err := a.issue(names, ips)
	if err != nil {
		return nil, err
	}
	a.leaf, a.names, a.ips = leaf, names, ips
	return leaf, nil
}

func (a *Authority) issue(names []string, ips []net.IP) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	about := &x509.Certificate{
		SerialNumber: serial(), Subject: pkix.Name{CommonName: "netagauge"}, NotBefore: a.now().Add(-time.Hour), NotAfter: a.now().Add(leafLasts),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		DNSNames: names, IPAddresses: ips,
	}
	signed, err := x509.CreateCertificate(rand.Reader, about, a.cert, key.Public(), a.key)
	if err != nil {
		return nil, phrase.Because(err, "ca-make")
	}
	leaf, err := x509.ParseCertificate(signed)
	if err != nil {
		return nil, err
	}
	return &tls.Certificate{Certificate: [][]byte{signed, a.cert.Raw}, PrivateKey: key, Leaf: leaf}, nil
}

// addresses are the computer's on local networks, in order.
func addresses() (out []net.IP) {
	all, _ := net.InterfaceAddrs()
	for _, a := range all {
		n, ok := a.(*net.IPNet)
		if ok && (n.IP.IsPrivate() || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast()) {
			out = append(out, n.IP)
		}
	}
	slices.SortFunc(out, func(a, b net.IP) int { return bytes.Compare(a.To16(), b.To16()) })
	return out
}
