package bucket

import (
	"net/url"
	"os"
	"regexp"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
)

// Address is where a bucket is: s3://BUCKET/PREFIX?endpoint=http://HOST:PORT&region=NAME.
// Without an endpoint it is Amazon's, and the usual region is that of most servers.
type Address struct {
	Bucket, Prefix string
	Host           string
	Secure         bool // by TLS
	Region         string
}

const (
	form        = "s3://BUCKET/PREFIX?endpoint=https://HOST" // told to people
	amazon      = "s3.amazonaws.com"
	usualRegion = "us-east-1"
)

var (
	bucketName = regexp.MustCompile(`^[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]$`)
	prefixName = regexp.MustCompile(`^[A-Za-z0-9_-][A-Za-z0-9._-]*(/[A-Za-z0-9_-][A-Za-z0-9._-]*)*$`)
)

// Parse reads an address. A secret in it is refused: it would be seen by all who list
// the computer's processes.
func Parse(text string) (Address, error) {
	wrong := func(why string) error {
		return phrase.At(strconv.Quote(hidden(text)), phrase.Wrong(why, form))
	}
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "s3" || u.Opaque != "" || u.Fragment != "" {
		return Address{}, wrong("s3-address")
	}
	if u.User != nil {
		return Address{}, wrong("s3-secret")
	}
	a := Address{Bucket: u.Host, Prefix: strings.Trim(u.Path, "/"), Host: amazon, Secure: true, Region: usualRegion}
	if !bucketName.MatchString(a.Bucket) || a.Prefix != "" && !prefixName.MatchString(a.Prefix) {
		return Address{}, wrong("s3-address")
	}
	for key, values := range u.Query() {
		switch {
		case len(values) != 1 || values[0] == "":
			return Address{}, wrong("s3-address")
		case key == "region":
			a.Region = values[0]
		case key == "endpoint":
			end, err := url.Parse(values[0])
			if err != nil || end.Host == "" || end.Scheme != "http" && end.Scheme != "https" || strings.Trim(end.Path, "/")+end.RawQuery+end.Fragment != "" {
				return Address{}, wrong("s3-endpoint")
			}
			if end.User != nil {
				return Address{}, wrong("s3-secret")
			}
			a.Host, a.Secure = end.Host, end.Scheme == "https"
		default:
			return Address{}, wrong("s3-address")
		}
	}
	return a, nil
}

// hidden is a text without what may be a secret.
func hidden(text string) string {
	return regexp.MustCompile(`//[^/@]*@`).ReplaceAllString(text, "//…@")
}

// String is the address as Parse reads it.
func (a Address) String() string {
	u := url.URL{Scheme: "s3", Host: a.Bucket}
	if a.Prefix != "" {
		u.Path = "/" + a.Prefix
	}
	q := url.Values{}
	if a.Host != amazon || !a.Secure {
		scheme := "http://"
		if a.Secure {
			scheme = "https://"
		}
		q.Set("endpoint", scheme+a.Host)
	}
	if a.Region != usualRegion {
		q.Set("region", a.Region)
	}
	u.RawQuery = q.Encode()
	return u.String()
}

// key is where a name lies in one of the bucket's folders.
func (a Address) key(folder, name string) string {
	if a.Prefix == "" {
		return folder + "/" + name
	}
	return a.Prefix + "/" + folder + "/" + name
}

// secrets says that they are set: without them a server answers what nobody understands.
func secrets() error {
	if os.Getenv("AWS_ACCESS_KEY_ID") == "" || os.Getenv("AWS_SECRET_ACCESS_KEY") == "" {
		return phrase.Wrong("s3-no-secret")
	}
	return nil
}
