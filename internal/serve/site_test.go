package serve

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/settings"
	"netagauge/internal/work/record"

	"bytes"
	"context"
	"image"
	"image/draw"
	"image/jpeg"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/see/photo"
	"netagauge/internal/serve/localca"
	"netagauge/internal/serve/metrics"
)

// hostile is what a stranger may try as a name; none is a real person's.
const hostile = `"><script>alert(1)</script>` + "'&{{.}}\u202e"

// site is the whole site on a port of its own, with one class of three.
type site struct {
	testing.TB
	server   *Server
	folder   *intake.Folder
	accounts *account.Accounts
	url      string
	said     *strings.Builder // in the log
	single   *stand
	door     string // page that a browser of one site among several opens first
}

func newSite(t testing.TB) *site {
	t.Helper()
	dir := t.TempDir()
	s := siteOf(t, dir, "lunch")
	roster := "label,name\nTray 01,Aoi Test\nTray 02,Bo Test\nTray 03,\"" + strings.ReplaceAll(hostile, `"`, `""`) + "\"\n"
	fatal.If(t, os.WriteFile(filepath.Join(dir, settings.Roster), []byte(roster), 0o600))
	return s
}

// siteOf is the site of a data folder.
func siteOf(t testing.TB, dir, line string) *site {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	folder, err := intake.Open(ctx, dir, "test")
	fatal.If(t, err)
	t.Cleanup(func() { folder.Close() })
	accounts, err := account.Open(ctx, filepath.Join(dir, "accounts.sqlite"))
	fatal.If(t, err)
	t.Cleanup(func() { accounts.Close() })
	authority, err := localca.Open(ctx, settings.InFolder(dir), nil)
	fatal.If(t, err)
	said := &strings.Builder{}
	single := &stand{}
	server, err := New(ctx, Options{Authority: authority, Folder: folder, Accounts: accounts, Settings: settings.InFolder(dir), Log: metrics.Log(said, false, ""), Base: "http://192.0.2.7:8080",
		Line: line, Single: single, Standard: standard.Default()})
	fatal.If(t, err)
	web := httptest.NewServer(server.Handler())
	t.Cleanup(web.Close)
	s := &site{t, server, folder, accounts, web.URL, said, single, ""}
	t.Cleanup(func() {
		if said.Len() > 0 {
			t.Errorf("the server logged trouble: %s", said)
		}
	})
	return s
}

// visitor is one browser.
type visitor struct {
	*site
	client *http.Client
	header http.Header
}

func (s *site) visitor() *visitor {
	jar, _ := cookiejar.New(nil)
	v := &visitor{s, &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}, http.Header{}}
	if s.door != "" {
		v.get(s.door)
	}
	return v
}

// answer is a response read to its end.
type answer struct {
	status int
	header http.Header
	body   string
}

func (v *visitor) do(method, path, kind string, body io.Reader) answer {
	v.Helper()
	r, err := http.NewRequest(method, v.url+path, body)
	fatal.If(v, err)
	for k, x := range v.header {
		r.Header[k] = x
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	got, err := v.client.Do(r)
	fatal.If(v, err)
	defer got.Body.Close()
	text, err := io.ReadAll(got.Body)
	fatal.If(v, err)
	return answer{got.StatusCode, got.Header, string(text)}
}

func (v *visitor) get(path string) answer { v.Helper(); return v.do("GET", path, "", nil) }

func (v *visitor) post(path string, fields url.Values) answer {
	v.Helper()
	return v.do("POST", path, "application/x-www-form-urlencoded", strings.NewReader(fields.Encode()))
}

// made posts a form and goes where its answer leads.
func (v *visitor) made(path string, fields url.Values) answer {
	v.Helper()
	got := v.post(path, fields)
	if got.status != http.StatusSeeOther {
		return got
	}
	return v.get(got.header.Get("Location"))
}

// sent sends a photo and goes where the answer leads.
func (v *visitor) sent(path string, fields map[string]string, name string, content []byte) answer {
	v.Helper()
	got := v.send(path, fields, name, content)
	if got.status != http.StatusSeeOther {
		return got
	}
	return v.get(got.header.Get("Location"))
}

// send posts a form whose last part is a photo; without a name none was chosen.
func (v *visitor) send(path string, fields map[string]string, name string, content []byte) answer {
	v.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for k, x := range fields {
		m.WriteField(k, x)
	}
	part, err := m.CreateFormFile("photo", name)
	fatal.If(v, err)
	part.Write(content)
	m.Close()
	return v.do("POST", path, m.FormDataContentType(), &b)
}

// role lets a new visitor in as instructor or chef. Without a passcode, which takes a
// tenth of a second to hash, on purpose: withPasscode is for tests of that.
func (s *site) role(role account.Role) *visitor {
	s.Helper()
	return s.admitted(role, string(role))
}

// admitted opens a session for somebody of this name.
func (s *site) admitted(role account.Role, name string) *visitor {
	s.Helper()
	session, token, err := s.accounts.Admit(context.Background(), account.Place{Role: role, Who: name})
	fatal.If(s, err)
	v := s.visitor()
	at := mustURL(s.url)
	v.client.Jar.SetCookies(at, []*http.Cookie{{Name: sessionCookie(&http.Request{URL: at}), Value: token, Expires: session.Expires}})
	return v
}

// withPasscode signs a new visitor in as instructor or chef, as people do.
func (s *site) withPasscode(role account.Role) *visitor {
	s.Helper()
	code, err := s.accounts.AddPasscode(context.Background(), role, string(role))
	fatal.If(s, err)
	v := s.visitor()
	if got := v.post("/signin", url.Values{"name": {string(role)}, "passcode": {code}}); got.status != http.StatusSeeOther {
		s.Fatalf("sign in as %s: %d\n%s", role, got.status, got.body)
	}
	return v
}

// trainee follows a link made for the name.
func (s *site) trainee(name string) *visitor {
	s.Helper()
	link, err := s.accounts.NewLink(context.Background(), name)
	fatal.If(s, err)
	return s.following(name, link)
}

// following follows a trainee's link.
func (s *site) following(name, link string) *visitor {
	s.Helper()
	v := s.visitor()
	if got := v.get("/t/" + link); got.status != http.StatusSeeOther || got.header.Get("Location") != "/tray" {
		s.Fatalf("follow the link of %s: %d", name, got.status)
	}
	return v.consenting()
}

// consenting lets trays be kept under the name.
func (v *visitor) consenting() *visitor {
	v.Helper()
	if got := v.post("/mine", url.Values{"name": {"yes"}}); got.status != http.StatusSeeOther {
		v.Fatalf("consent: %d\n%s", got.status, got.body)
	}
	return v
}

// joined comes in by the class code.
func (s *site) joined(name string) *visitor {
	s.Helper()
	code, err := s.accounts.ClassCode(context.Background())
	fatal.If(s, err)
	v := s.visitor()
	if got := v.post("/join", url.Values{"code": {code}, "name": {name}}); got.status != http.StatusSeeOther {
		s.Fatalf("join as %s: %d\n%s", name, got.status, got.body)
	}
	return v.consenting()
}

// openMonday opens a class as an instructor does.
func (v *visitor) openMonday() {
	v.Helper()
	if got := v.post("/class", url.Values{"class": {"Monday"}, "day": {"2026-11-25"}, "species": {"salmon"}}); got.status != http.StatusSeeOther {
		v.Fatalf("open a class: %d\n%s", got.status, got.body)
	}
}

// sendTray sends a photo that nobody sent before and returns its page.
func (v *visitor) sendTray(path string) (shot string) {
	v.Helper()
	got := v.send(path, map[string]string{"thickness": "4.2"}, hostile+".jpg", freshPhoto())
	if got.status != http.StatusSeeOther {
		v.Fatalf("send a photo: %d\n%s", got.status, got.body)
	}
	return got.header.Get("Location")
}

var sentSoFar byte

// phoneBytes is what a phone's photo has at least; current ones send 2 to 8 MB.
const phoneBytes = 2 << 20

// freshPhoto is a JPEG unlike the ones before, of the size that phones send.
func freshPhoto() []byte { return padded(smallPicture(), phoneBytes) }

// padded fills a JPEG up to a size with comments (ITU-T T.81, B.2.4.5).
func padded(photo []byte, size int) []byte {
	out := append(make([]byte, 0, size), photo[:2]...)
	for size-len(out)-len(photo) > 0 {
		n := min(size-len(out)-len(photo), 1<<16-3)
		out = append(out, 0xff, 0xfe, byte((n+2)>>8), byte(n+2))
		out = append(out, make([]byte, n)...)
	}
	return append(out, photo[2:]...)
}

// smallPicture is a small JPEG unlike the ones before.
func smallPicture() []byte {
	sentSoFar++
	img := image.NewGray(image.Rect(0, 0, photo.MinSide, photo.MinSide))
	for i := range 8 { // each bit is a block of its own
		if sentSoFar>>i&1 == 1 {
			draw.Draw(img, image.Rect(8*i, 0, 8*i+8, 8), image.White, image.Point{}, draw.Src)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func ptr(v float64) *float64 { return &v }

// madeUp is a report as the worker gives it: one slice passes, one is too long,
// one touches another.
func madeUp(s intake.Shot) piece.Tray {
	box := func(x, y, w, h float64) [][2]float64 {
		return [][2]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
	}
	return piece.Tray{
		Photo: piece.Photo{File: s.Name, WidthPx: 4000, HeightPx: 3000}, Status: piece.TrayMeasured, Standard: "nigiri",
		Mat:      &piece.Mat{Name: "a4", PrintScale: 1, PxPerMM: 9},
		Problems: []piece.Problem{{Code: "glare", Message: "light mirrors", Remedy: "turn the tray"}},
		Pieces: []piece.Piece{
			{Number: 1, State: piece.Measured, Outline: box(40, 40, 80, 35), Length: piece.Of(80, 0.5), Width: piece.Of(35, 0.5), Area: piece.Of(2800, 20),
				Weight: piece.Of(11.5, 0.6), Thickness: piece.Of(4.2, 0), Cover: piece.Of(1, 0), Verdict: piece.Pass},
			{Number: 2, State: piece.Measured, Outline: box(40, 100, 90, 35), Length: piece.Of(90, 0.5), Width: piece.Of(35, 0.5), Area: piece.Of(3100, 20),
				Weight: piece.Of(12.5, 0.6), Thickness: piece.Of(4.2, 0), Cover: piece.Of(1, 0), Verdict: piece.Fail,
				Faults: []piece.Fault{{What: "length", Measured: 90, Low: ptr(75), High: ptr(85), Advice: "turn the knife <b>"}}},
			{Number: 3, State: piece.Touching, Outline: box(160, 100, 90, 35)},
		},
		Tally: &piece.Tally{Measured: 2, Passed: 1, Failed: 1, Advice: []string{"turn the knife <i>"}},
	}
}

// refusedReport is what the worker gives for a photo without a mat.
func refusedReport(s intake.Shot) piece.Tray {
	return piece.Tray{Photo: piece.Photo{File: s.Name}, Status: piece.TrayRefused,
		Problems: []piece.Problem{{Code: "no-mat", Message: "no printed mat is in the picture", Remedy: "lay it"}}}
}

// measure does the worker's part with a made-up report.
func (s *site) measure(of func(intake.Shot) piece.Tray) {
	s.Helper()
	ctx := context.Background()
	for {
		x, found, err := s.folder.Next(ctx)
		fatal.If(s, err)
		if !found {
			return
		}
		recorder := record.Recorder{Book: s.folder.Book(), Program: s.folder.Program(), Measure: func(context.Context, record.Tray) (record.Result, error) {
			return record.Result{Report: of(x), Picture: smallPicture(), View: smallPicture()}, nil
		}}
		kept, err := recorder.Record(ctx, trayOf(x))
		if err == nil {
			err = s.folder.Settle(ctx, x, kept.Outcome())
		}
		fatal.If(s, err)
	}
}

// trayOf is a shot whose photos are not opened.
func trayOf(x intake.Shot) record.Tray {
	t := record.Tray{Ticket: x.Ticket, First: record.Photo{Hash: x.Hash}}
	if x.Second.Counts() {
		t.Second = record.Bytes("", nil)
		t.Second.Hash = x.Second.Hash
	}
	return t
}

// soon waits for the board to hear of changes.
func (s *site) soon(what string, ok func() bool) {
	s.Helper()
	for range 6000 {
		if ok() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	s.Errorf("it never came to be: %s", what)
}

func (a answer) must(t *site, status int, parts ...string) {
	t.Helper()
	if a.status != status {
		t.Errorf("status %d, want %d\n%s", a.status, status, a.body)
	}
	for _, p := range parts {
		if !strings.Contains(a.body, p) {
			t.Errorf("the page lacks %q\n%s", p, a.body)
		}
	}
}

func (a answer) lacks(t *site, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if strings.Contains(a.body, p) {
			t.Errorf("the page has %q\n%s", p, a.body)
		}
	}
}
