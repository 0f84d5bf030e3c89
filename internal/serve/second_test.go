package serve

import (
	"bytes"
	"context"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/keep/intake"
)

// sendBoth sends two photos in one form.
func (v *visitor) sendBoth(path string, first, second []byte) answer {
	v.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for _, f := range []struct {
		name string
		data []byte
	}{{"photo", first}, {"second", second}} {
		part, err := m.CreateFormFile(f.name, f.name+".jpg")
		fatal.If(v, err)
		part.Write(f.data)
	}
	m.Close()
	return v.do("POST", path, m.FormDataContentType(), &b)
}

// pairReport is made up, as from two photos.
func pairReport(x intake.Shot) piece.Tray {
	r := madeUp(x)
	if !x.Second.Counts() {
		return r
	}
	r.Problems = nil
	yes := true
	p := &r.Pieces[0]
	p.Thickness.U, p.WedgeAlong, p.WedgeAcross = 0.2, piece.Of(1.4, 0), piece.Of(0, 0)
	p.Koba, p.KobaWidth = &yes, piece.Of(4.1, 1.9)
	p.WedgeSays = phrase.Of("wedge-along", 1.4)
	p.WedgeAdvice = "1.4 mm thicker at one end: keep the blade level"
	p.ThicknessMap = &piece.ThicknessMap{First: [2]float64{45, 45}, Along: [2]float64{40, 0}, Across: [2]float64{0, 30},
		Thickness: [][]*float64{{ptr(3.5), ptr(4.9)}}}
	return r
}

// A second photo beside the first, or added to a measured tray, on the page of a
// trainee and of a chef.
func TestSecondPhoto(t *testing.T) {
	e := newEverybody(t)
	for name, c := range map[string]struct {
		who  *visitor
		path string
	}{"trainee": {e.aoi, "/tray"}, "chef": {e.chef, "/line"}} {
		c.who.header = http.Header{}
		if c.who == e.chef {
			c.who.get(c.path).must(e.site, http.StatusOK, `name="second"`, "Second photo (may be left out)")
		}
		got := c.who.sendBoth(c.path, freshPhoto(), freshPhoto())
		if got.status != http.StatusSeeOther || strings.Contains(got.header.Get("Location"), "second=") {
			t.Fatalf("%s: both photos: %d to %s\n%s", name, got.status, got.header.Get("Location"), got.body)
		}
		shot := got.header.Get("Location")
		e.site.measure(pairReport)
		c.who.get(shot).lacks(e.site, "add a second photo")
		page := c.who.get(shot + "/slices/1")
		page.must(e.site, http.StatusOK, "4.2 ± 0.2 mm", "yes, 4.1 ± 1.9 mm wide", "1.4 mm thicker at one end", `<svg class="thickness"`, "Thickness: 3.5 mm at one end, 4.9 mm at the other")
		c.who.header.Set("Accept-Language", "ja")
		c.who.get(shot+"/slices/1").must(e.site, http.StatusOK, "コバ", "あり、幅 4.1 ± 1.9 mm", "片端が 1.4 mm 厚い", "厚さ：片端 3.5 mm")
	}
	e.aoi.header = http.Header{}
	shot := e.aoi.sendTray("/tray")
	e.site.measure(pairReport)
	e.aoi.get(shot).must(e.site, http.StatusOK, "Weights: add a second photo", shot+"/second")
	e.aoi.get(shot+"/second").must(e.site, http.StatusOK, "two hands", "Add the second photo")
	if got := e.aoi.send(shot+"/second", nil, "b.jpg", freshPhoto()); got.status != http.StatusSeeOther || got.header.Get("Location") != shot {
		t.Fatalf("the second photo: %d\n%s", got.status, got.body)
	}
	e.aoi.get(shot).must(e.site, http.StatusOK, "Received", "measured anew")
	e.site.measure(pairReport)
	e.aoi.get(shot+"/slices/1").must(e.site, http.StatusOK, "yes, 4.1 ± 1.9 mm wide")
}

// What is wrong with a second photo is said beside the tray, which is safe.
func TestSecondPhotoNotTaken(t *testing.T) {
	e := newEverybody(t)
	first := freshPhoto()
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"a text":        {[]byte("lunch"), "not a photo that can be read"},
		"the same once": {first, "the first photo once more"},
	} {
		got := e.aoi.sendBoth("/tray", first, c.data)
		e.site.measure(pairReport)
		page := e.aoi.get(got.header.Get("Location"))
		page.must(e.site, http.StatusOK, " good", "The second photo was not used", c.want, "Another second photo")
		if page.status != http.StatusOK {
			t.Error(name)
		}
	}
	shot := e.aoi.sendTray("/tray")
	e.site.measure(pairReport)
	e.aoi.get(shot+"?second=%3Cscript%3E").lacks(e.site, "script%3E", "was not used")
	if got := e.aoi.send(shot+"/second", nil, "b.jpg", []byte("no photo")); got.status != http.StatusUnsupportedMediaType {
		t.Errorf("a text as second photo: %d", got.status)
	}
	for name, v := range map[string]*visitor{"stranger": e.stranger, "another trainee": e.bo, "the class code": e.code, "a chef": e.chef} {
		if got := v.send(shot+"/second", nil, "b.jpg", freshPhoto()); got.status != http.StatusNotFound && got.status != http.StatusUnauthorized {
			t.Errorf("%s adds a second photo to another's tray: %d", name, got.status)
		}
	}
	if got := e.aoi.send("/shots/nothing/second", nil, "b.jpg", freshPhoto()); got.status != http.StatusNotFound {
		t.Errorf("a second photo of nothing: %d", got.status)
	}
	e.aoi.send(shot+"/second", nil, "b.jpg", freshPhoto())
	x, _, err := e.folder.Next(context.Background())
	if err == nil {
		err = e.folder.Fail(context.Background(), x, intake.CodeStopped, nil)
	}
	fatal.If(t, err)
	e.site.measure(pairReport)
	e.aoi.get(shot).must(e.site, http.StatusOK, " good", "could not measure with it", "Another second photo")
}
