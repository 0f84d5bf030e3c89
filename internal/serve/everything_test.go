package serve

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
)

// Everything of a person is the results, the guesses and, to the person, the photos to the
// byte; nothing of anybody else's.
func TestEverythingOfAPerson(t *testing.T) {
	e := newEverybody(t)
	photo := freshPhoto()
	e.bo.send("/tray", nil, "mine.jpg", photo).must(e.site, http.StatusSeeOther)
	e.bo.post("/eye", url.Values{"token": {"1"}, "card": {"b-1"}, "measure": {"length"}, "guess": {"77"}}).must(e.site, http.StatusSeeOther)
	e.site.measure(madeUp)
	own, taught := e.bo.get("/past/everything.zip"), e.teacher.get("/people/everything.zip?name=Bo+Test")
	for want, got := range map[int]answer{5: own, 4: taught} { // a result and its picture, two lists, and to herself the photo
		files := unzipped(t, got)
		if len(files) != want {
			t.Errorf("%d files, want %d", len(files), want)
		}
		var tray piece.Tray
		for name, data := range files {
			switch {
			case strings.HasPrefix(name, "photos/"):
				if !bytes.Equal(data, photo) {
					t.Errorf("%s is not the photo that was sent", name)
				}
			case strings.HasSuffix(name, ".json"):
				if err := json.Unmarshal(data, &tray); err != nil || len(tray.Pieces) != 3 {
					t.Errorf("%s: %d pieces, %v", name, len(tray.Pieces), err)
				}
			case name == "trays.csv" && !strings.Contains(string(data), "mine.jpg"), name == "guesses.csv" && !strings.Contains(string(data), "length,77,"):
				t.Errorf("%s: %s", name, data)
			}
		}
	}
	if n := len(unzipped(t, e.aoi.get("/past/everything.zip"))); n != 2*3+2 {
		t.Errorf("%d files of who sent two trays", n)
	}
	e.code.get("/past/everything.zip").must(e.site, http.StatusNotFound)
	e.teacher.get("/people/everything.zip?name=Nobody").must(e.site, http.StatusNotFound)
	e.bo.get("/people/everything.zip?name=Aoi+Test").must(e.site, http.StatusNotFound)
}

func unzipped(t *testing.T, got answer) map[string][]byte {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(got.body), int64(len(got.body)))
	if err != nil {
		t.Fatalf("%d: %v", got.status, err)
	}
	out := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		fatal.If(t, err)
		if out[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
		r.Close()
	}
	return out
}
