package class

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"netagauge/internal/core/fatal"
)

// A pasted list keeps what the roster knew of who stays, in the list's order.
func TestNamesFromAList(t *testing.T) {
	was, err := ParseRoster("label,name,minutes\nTray 01,Aoi Test,12\nTray 02,Bo Test,\nTray 07,Aoi Test,3\n")
	fatal.If(t, err)
	now, err := was.With(" Chi  Test \r\n\r\nAoi Test\nTray 01\n")
	fatal.If(t, err)
	text, err := now.CSV()
	if want := "label,name,minutes\nChi Test,Chi Test,\nTray 01,Aoi Test,12\nTray 07,Aoi Test,3\nTray 01 2,Tray 01,\n"; err != nil || text != want {
		t.Errorf("%q, %v; want %q", text, err, want)
	}
	if name, ok := now.Name("tray 07"); !ok || name != "Aoi Test" {
		t.Errorf("tray 07 is %q's", name)
	}
	for list, says := range map[string]string{"A\nB\nA": "1 and 3", "A\n" + strings.Repeat("x", 61): "line 2", " \n": "nobody"} {
		if _, err := was.With(list); err == nil || !strings.Contains(strings.ToLower(err.Error()), says) {
			t.Errorf("%q: %v, want %q", list, err, says)
		}
	}
}

// Whatever is pasted and taken in, its file reads back as the same names.
func TestListReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, err := Roster{}.With(rapid.String().Draw(t, "list"))
		if err != nil {
			return
		}
		text, err := r.CSV()
		fatal.If(t, err)
		back, err := ParseRoster(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if a, b := strings.Join(r.Names(), "|"), strings.Join(back.Names(), "|"); a != b {
			t.Fatalf("%q becomes %q", a, b)
		}
	})
}
