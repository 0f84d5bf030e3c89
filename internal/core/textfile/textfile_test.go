package textfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
)

func TestRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.csv")
	fatal.If(t, os.WriteFile(path, []byte("12345"), 0o600))
	if data, err := Read(path, 5); err != nil || string(data) != "12345" {
		t.Errorf("%q, %v", data, err)
	}
	if _, err := Read(path, 4); err == nil || !strings.Contains(err.Error(), path) {
		t.Errorf("a larger file: %v", err)
	}
	if _, err := Read(path+".none", 4); err == nil {
		t.Error("a file that is not there is read")
	}
}

// Each mistake is told with its line and its key.
func TestTOML(t *testing.T) {
	for text, want := range map[string]string{
		"low = 1\n":             "",
		"low = 1\nhihg = 2\n":   "called hihg",
		"[limits]\nlwo = 2\n":   "called limits.lwo",
		"low = 1\nlow == 2\n":   "line 2 cannot be read: low == 2",
		"low = 1\nlow = \xff\n": "line 2",
		"low = \"one\"\n":       "line 1",
	} {
		var v struct {
			Low    float64  `toml:"low"`
			Limits struct{} `toml:"limits"`
		}
		err := TOML([]byte(text), &v)
		switch {
		case want == "" && err != nil:
			t.Errorf("%q: %v", text, err)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want)):
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func FuzzTOML(f *testing.F) {
	f.Add([]byte("low = 1\n[limits]\n"))
	f.Add([]byte("low = \"\"\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var v struct {
			Low float64 `toml:"low"`
		}
		if err := TOML(data, &v); err != nil && strings.TrimSpace(err.Error()) == "" {
			t.Errorf("%q gives an error without words", data)
		}
	})
}
