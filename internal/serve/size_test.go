package serve

import (
	"net/http"
	"strings"
	"testing"
)

// Every route that takes a photo takes one of the size that phones send, and one
// of 12 MB; no other takes more than a form.
func TestPhotosOfRealSize(t *testing.T) {
	e := newEverybody(t)
	for _, size := range []int{5 << 20, 12 << 20} {
		big := func() []byte { return padded(smallPicture(), size) }
		shot := e.aoi.send("/tray", nil, "a.jpg", big())
		if shot.status != http.StatusSeeOther {
			t.Fatalf("a photo of %d MB: %d\n%s", size>>20, shot.status, shot.body)
		}
		e.site.measure(madeUp)
		for name, got := range map[string]answer{
			"second":   e.aoi.send(shot.header.Get("Location")+"/second", nil, "b.jpg", big()),
			"both":     e.aoi.sendBoth("/tray", big(), big()),
			"check":    e.chef.send("/line", nil, "c.jpg", big()),
			"two ways": e.chef.sendBoth("/line", big(), big()),
		} {
			if got.status != http.StatusSeeOther || strings.Contains(got.header.Get("Location"), "second=") {
				t.Errorf("%s of %d MB: %d to %q\n%s", name, size>>20, got.status, got.header.Get("Location"), got.body)
			}
		}
		for _, path := range []string{"/plan", "/mat"} { // the program that looks at it is not there
			if got := e.teacher.send(path, nil, "d.jpg", big()); got.status == http.StatusRequestEntityTooLarge {
				t.Errorf("%s of %d MB: %d", path, size>>20, got.status)
			}
		}
		e.said.Reset()
	}
	for _, path := range []string{"/join", "/signin", "/class", "/roster", "/standard", "/nothing"} {
		if got := e.teacher.send(path, nil, "f.jpg", padded(smallPicture(), phoneBytes)); got.status < 400 {
			t.Errorf("%s takes a photo: %d", path, got.status)
		}
	}
}
