package bucket

import (
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	for text, want := range map[string]Address{
		"s3://kitchen":                                  {"kitchen", "", amazon, true, usualRegion},
		"s3://kitchen/":                                 {"kitchen", "", amazon, true, usualRegion},
		"s3://kitchen/a/b-1/?region=eu-north-1":         {"kitchen", "a/b-1", amazon, true, "eu-north-1"},
		"s3://kitchen/a?endpoint=http://127.0.0.1:9000": {"kitchen", "a", "127.0.0.1:9000", false, usualRegion},
		"s3://kit.chen/a?endpoint=https%3A%2F%2Fs3.kitchen.example%2F&region=x": {"kit.chen", "a", "s3.kitchen.example", true, "x"},
	} {
		got, err := Parse(text)
		if err != nil || got != want {
			t.Errorf("%s: %+v, %v; want %+v", text, got, err, want)
		}
		if again, err := Parse(got.String()); err != nil || again != got {
			t.Errorf("%s becomes %s, %+v, %v", text, got, again, err)
		}
	}
	for text, says := range map[string]string{
		"":                                      "s3://BUCKET",
		"kitchen":                               "s3://BUCKET",
		"http://kitchen/a":                      "s3://BUCKET",
		"s3://":                                 "s3://BUCKET",
		"s3://K/a":                              "s3://BUCKET",
		"s3://kitchen/a/../b":                   "s3://BUCKET",
		"s3://kitchen//a":                       "",
		"s3://kitchen/a//b":                     "s3://BUCKET",
		"s3://kitchen/a?x=1":                    "s3://BUCKET",
		"s3://kitchen/a?endpoint=1":             "http://HOST",
		"s3://kitchen/a?endpoint=ftp://x":       "http://HOST",
		"s3://kitchen/a?endpoint=http://x/path": "http://HOST",
		"s3://kitchen/a?endpoint=":              "s3://BUCKET",
		"s3://key:secret@kitchen/a":             "environment",
		"s3://kitchen/a?endpoint=http://k:s@x:9000": "environment",
	} {
		_, err := Parse(text)
		if says == "" {
			continue
		}
		if err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "secret@") || strings.Contains(err.Error(), "k:s@") {
			t.Errorf("%q: %v; want %s", text, err, says)
		}
	}
}

func TestSecretsAreAsked(t *testing.T) {
	t.Setenv("AWS_ACCESS_KEY_ID", "")
	if _, err := Open(Address{Bucket: "kitchen", Host: "127.0.0.1:1", Region: usualRegion}, ""); err == nil || !strings.Contains(err.Error(), "AWS_ACCESS_KEY_ID") {
		t.Errorf("%v", err)
	}
}
