package weight

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"

	"netagauge/calibration"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
)

// A species' group must have a weight band in the house standard.
func TestGroupsAreTheStandards(t *testing.T) {
	var house struct {
		Bands map[string]any `toml:"weight_g"`
	}
	fatal.If(t, toml.Unmarshal(calibration.StandardNigiri, &house))
	known := slices.Sorted(slices.Values(groups))
	if bands := slices.Sorted(maps.Keys(house.Bands)); !slices.Equal(known, bands) {
		t.Errorf("species know the groups %v, the house standard %v", known, bands)
	}
}

func TestFind(t *testing.T) {
	for name, want := range map[string]string{
		"salmon": "salmon", "Maguro": "bluefin tuna", "hirame": "flounder", "tai": "sea bream", "IKA": "squid",
		"awabi": "abalone", "bluefin-tuna": "bluefin tuna", "  sea   bass ": "sea bass",
	} {
		s, err := BuiltIn().Find(name)
		if err != nil || s.Name != want {
			t.Errorf("%q finds %q, %v; want %q", name, s.Name, err, want)
		}
	}
	for name, want := range map[string]string{
		"salmn": `"salmon"`, "magro": `"maguro"`, "hotatte": `"hotate"`, "tun": "tuna", "bream": `"sea bream"`,
		"xylophone": "lists those", "": "lists those",
	} {
		s, err := BuiltIn().Find(name)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q finds %q, error %v; want one that offers %s", name, s.Name, err, want)
		}
	}
}

const head = "[[species]]\nname = \"garfish\"\ngroup = \"white\"\nsource = \"our own\"\nwater = 79\nprotein = 19\nfat = 1\nash = 1\n"

func TestParseTableRefuses(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"unknown key":    {head + "salt = 2\n", "line 9: nothing here is called species.salt"},
		"duplicate key":  {head + "fat = 2\n", "line 9"},
		"not TOML":       {"name = ", "line 1"},
		"text as number": {"[[species]]\nname = \"x\"\nwater = \"much\"\n", "line 3"},
		"empty":          {"", "no [[species]]"},
		"no name":        {strings.Replace(head, "garfish", " ", 1), "give it a name"},
		"group":          {strings.Replace(head, "white", "grey", 1), "stiff, white, tuna, general"},
		"no source":      {strings.Replace(head, "our own", "", 1), "where the composition comes from"},
		"negative":       {strings.Replace(head, "fat = 1", "fat = -1", 1), "fat is -1"},
		"nan":            {strings.Replace(head, "fat = 1", "fat = nan", 1), "fat is NaN"},
		"inf":            {strings.Replace(head, "fat = 1", "fat = inf", 1), "fat is +Inf"},
		"far from 100":   {strings.Replace(head, "water = 79", "water = 7.9", 1), "add up to 28.9"},
		"same name":      {head + head, `share the name "garfish"`},
		"same alias":     {head + "aliases = [\"Gar-Fish\", \"gar fish\"]\n", `share the name "gar fish"`},
		"empty alias":    {head + "aliases = [\"\"]\n", "alias is empty"},
	} {
		table, err := LoadTable(inFile(t, "mine.toml", c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "mine.toml") {
			t.Errorf("%s: %d species, error %v, want one that names the file and says %q", name, len(table), err, c.want)
		}
	}
}

func TestOwnSpeciesTakePrecedence(t *testing.T) {
	own, err := ParseTable([]byte(strings.Replace(head, "garfish", "Salmon", 1) +
		"\n" + strings.Replace(head, "garfish", "sayori", 1)))
	fatal.If(t, err)
	both := BuiltIn().With(own)
	if len(both) != len(BuiltIn())+1 {
		t.Errorf("%d species together, want %d", len(both), len(BuiltIn())+1)
	}
	for _, name := range []string{"salmon", "sayori"} {
		if s, err := both.Find(name); err != nil || s.Source != "our own" {
			t.Errorf("%q comes from %q (%v), want our own", name, s.Source, err)
		}
	}
}

func FuzzParseTable(f *testing.F) {
	f.Add(calibration.Species)
	f.Add([]byte(head))
	f.Add([]byte("[[species]]\nname = 3"))
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := ParseTable(data)
		if err != nil && table != nil {
			t.Errorf("refused (%v), and still %d species", err, len(table))
		}
		for _, s := range table {
			d, err := s.Density(ColdHeld)
			if err != nil || !(d.X > 0.8 && d.X < 2.5 && d.U > 0) {
				t.Errorf("%+v has the density %g ± %g (%v)", s, d.X, d.U, err)
			}
		}
	})
}

// Every species has a name to show in every language but English, whose name is
// its own, and is found by all its names.
func TestSpeciesInEveryLanguage(t *testing.T) {
	for _, s := range BuiltIn() {
		for _, l := range phrase.Languages()[1:] {
			if s.In(l.Tag()) == s.Name {
				t.Errorf("%s has no name in %s", s.Name, l.Tag())
			}
		}
		for _, name := range s.Others() {
			if found, err := BuiltIn().Find(name); err != nil || found.Name != s.Name {
				t.Errorf("%q finds %q, %v; want %q", name, found.Name, err, s.Name)
			}
		}
		if s.In("xx") != s.Name {
			t.Errorf("in a language without names %s is %q", s.Name, s.In("xx"))
		}
	}
}

// inFile is a file of this name with a text.
func inFile(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	fatal.If(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}
