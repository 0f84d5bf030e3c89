package serve

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/mattn/go-sqlite3"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/serve/gate"
)

// The tests of this file attack the site over the loop, with a few hundred requests
// and a thousand connections, from addresses of 127/8.

// behindDoor serves the site as the program does, with its limits.
func behindDoor(t *testing.T, e everybody, proxies ...string) (address string) {
	t.Helper()
	limits := gate.Usual
	var err error
	limits.Proxies, err = gate.ParseProxies(proxies)
	fatal.If(t, err)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	h := e.server.HTTP()
	go h.Serve(gate.Before(h, l, limits))
	t.Cleanup(func() { h.Close() })
	return l.Addr().String()
}

// dialer dials from an address of the loop.
func dialer(from string) *net.Dialer {
	return &net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(from)}, Timeout: 10 * time.Second}
}

// phone is a browser at an address of the loop.
func phone(from string) *http.Client {
	jar, _ := cookiejar.New(nil)
	return &http.Client{Jar: jar, Timeout: time.Minute, Transport: &http.Transport{DialContext: dialer(from).DialContext},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

// carry lets a phone use a visitor's session.
func carry(v *visitor, c *http.Client, to string) {
	from, _ := url.Parse(v.url)
	there, _ := url.Parse("http://" + to)
	c.Jar.SetCookies(there, v.client.Jar.Cookies(from))
}

// A thousand connections of one address, a third silent, a third after a request,
// a third in the middle of one: every page answers others within a second, on a quiet machine.
func TestIdleConnections(t *testing.T) {
	within := 20 * time.Second
	if os.Getenv("NETAGAUGE_LONG") != "" {
		within = time.Second
	}
	e := newEverybody(t)
	to := behindDoor(t, e)
	for i := range 1000 {
		c, err := dialer("127.0.0.66").Dial("tcp", to)
		if err != nil {
			t.Fatalf("connection %d: %v", i, err)
		}
		defer c.Close()
		switch i % 3 {
		case 0:
			fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: x\r\n\r\n")
		case 1:
			fmt.Fprint(c, "POST /tray HTTP/1.1\r\nHost: x\r\nCookie: ")
		}
	}
	for from, x := range map[string]struct {
		who   *visitor
		paths []string
	}{
		"127.0.0.2": {e.teacher, []string{"/class", "/class?live", "/roster", "/standard", "/people", "/mat", "/files", "/line", "/plan", e.aoiShot, e.aoiShot + "/picture"}},
		"127.0.0.3": {e.aoi, []string{"/tray", "/past", "/past/trend.svg", e.aoiShot, e.aoiShot + "?live"}},
		"127.0.0.4": {e.stranger, []string{"/", "/static/style.css"}},
	} {
		c := phone(from)
		carry(x.who, c, to)
		for _, path := range x.paths {
			began := time.Now()
			got, err := c.Get("http://" + to + path)
			if err != nil {
				t.Fatalf("%s: %v", path, err)
			}
			io.Copy(io.Discard, got.Body)
			got.Body.Close()
			if took := time.Since(began); got.StatusCode != http.StatusOK || took > within {
				t.Errorf("%s: %s after %v", path, got.Status, took)
			}
		}
	}
}

// Thirty phones join behind one address, and the instructor comes in, while twenty
// wrong codes a second and some wrong passcodes arrive from other addresses.
func TestJoiningUnderAttack(t *testing.T) {
	const phones, within = 30, 60 * time.Second
	e := newEverybody(t)
	roster := "label,name\n"
	for i := range phones {
		roster += fmt.Sprintf("Tray %02d,Trainee %02d\n", i, i)
	}
	e.teacher.edit("/roster", roster).must(e.site, http.StatusSeeOther)
	to := behindDoor(t, e)
	pass, err := e.accounts.AddPasscode(t.Context(), account.Instructor, "second instructor")
	fatal.If(t, err)
	code, err := e.accounts.ClassCode(t.Context())
	fatal.If(t, err)
	ctx, stop := context.WithCancel(t.Context())
	var attack sync.WaitGroup
	var wrong, slowed atomic.Int64
	attack.Go(func() {
		attackers := make([]*http.Client, 20)
		for i := range attackers {
			attackers[i] = phone(fmt.Sprintf("127.0.2.%d", i+1))
		}
		for n := 0; ctx.Err() == nil; n++ {
			path, form := "/join", url.Values{"code": {fmt.Sprintf("%08d", n)}}
			if n%10 == 9 {
				path, form = "/signin", url.Values{"name": {"second instructor"}, "passcode": {fmt.Sprint(n)}}
			}
			attack.Go(func() {
				got, err := attackers[n%len(attackers)].PostForm("http://"+to+path, form)
				if err != nil {
					t.Errorf("the attack itself: %v", err)
					return
				}
				got.Body.Close()
				wrong.Add(1)
				if got.StatusCode == http.StatusTooManyRequests {
					slowed.Add(1)
				}
			})
			time.Sleep(50 * time.Millisecond)
		}
	})
	time.Sleep(12 * time.Second) // the budgets of strangers are used up
	began := time.Now()
	var class sync.WaitGroup
	for i := range phones {
		class.Go(func() {
			c := phone("127.0.1.1")
			for n, name := range []string{"", fmt.Sprintf("Trainee %02d", i)} { // the code, then the name
				got, err := c.PostForm("http://"+to+"/join", url.Values{"code": {code}, "name": {name}})
				if err != nil {
					t.Error(err)
					return
				}
				body, _ := io.ReadAll(got.Body)
				got.Body.Close()
				if want := []int{http.StatusOK, http.StatusSeeOther}[n]; got.StatusCode != want {
					t.Errorf("joining with name %q: %s\n%s", name, got.Status, body)
				}
			}
		})
	}
	class.Go(func() {
		c := phone("127.0.3.1")
		for i, passcode := range []string{strings.Repeat("x", 12), pass} { // mistyped once
			got, err := c.PostForm("http://"+to+"/signin", url.Values{"name": {"second instructor"}, "passcode": {passcode}})
			if err != nil {
				t.Error(err)
				return
			}
			got.Body.Close()
			if want := []int{http.StatusForbidden, http.StatusSeeOther}[i]; got.StatusCode != want {
				t.Errorf("the instructor's try %d: %s", i+1, got.Status)
			}
		}
	})
	class.Wait()
	took := time.Since(began)
	stop()
	attack.Wait()
	t.Logf("%d phones and the instructor were in after %v; %d wrong tries, of which %d were told to wait", phones, took.Round(time.Millisecond), wrong.Load(), slowed.Load())
	if took > within && os.Getenv("NETAGAUGE_LONG") != "" { // a bound on time needs a quiet machine
		t.Errorf("it took %v, more than %v", took, within)
	}
	if slowed.Load() == 0 {
		t.Error("the attack was never slowed down")
	}
}

// Behind a proxy each phone has tries of its own; a stranger gets no more of them by
// writing whom it comes for, whether to the proxy or past it.
func TestTriesThroughAProxy(t *testing.T) {
	const proxy, stranger = "127.0.0.9", "203.0.113.7" // RFC 5737 keeps the latter for examples
	e := newEverybody(t)
	e.server.joining.Each = gate.Budget{Burst: 3, Wait: time.Hour}
	to := behindDoor(t, e, proxy)
	wrong := func(through, said string) int {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, "http://"+to+"/join", strings.NewReader("code=00000000"))
		fatal.If(t, err)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("X-Forwarded-For", said)
		got, err := phone(through).Do(r)
		fatal.If(t, err)
		got.Body.Close()
		return got.StatusCode
	}
	for _, c := range []struct{ through, adds string }{{proxy, ", " + stranger}, {"127.0.0.66", ""}} {
		for i := range 5 {
			want := http.StatusForbidden
			if i >= 3 {
				want = http.StatusTooManyRequests
			}
			if got := wrong(c.through, fmt.Sprintf("203.0.113.%d%s", 100+i, c.adds)); got != want {
				t.Errorf("through %s, try %d: %d, want %d", c.through, i+1, got, want)
			}
		}
		if got := wrong(proxy, "203.0.113.8"); got != http.StatusForbidden {
			t.Errorf("another phone: %d", got)
		}
	}
}

// A page elsewhere makes an instructor's browser open a trainee's link: she is asked.
func TestLinkAsksWhoIsSignedIn(t *testing.T) {
	e := newEverybody(t)
	link, err := e.accounts.NewLink(t.Context(), "Bo Test")
	fatal.If(t, err)
	e.teacher.get("/t/"+link).must(e.site, http.StatusOK, "Open this link?", "Sign in as Bo Test")
	e.teacher.get("/class").must(e.site, http.StatusOK)
	e.teacher.header = http.Header{"Origin": {"http://elsewhere.example"}}
	e.teacher.post("/t/"+link, nil).must(e.site, http.StatusForbidden)
	e.teacher.header = http.Header{}
	e.teacher.post("/t/"+link, nil).must(e.site, http.StatusSeeOther)
	e.teacher.get("/class").must(e.site, http.StatusNotFound)
	e.teacher.get("/tray").must(e.site, http.StatusOK)
	e.teacher.get("/t/"+link).must(e.site, http.StatusSeeOther) // their own once more
}

// Links end with the roster.
func TestLinkEndsWithTheRoster(t *testing.T) {
	e := newEverybody(t)
	link, err := e.accounts.NewLink(t.Context(), "Bo Test")
	fatal.If(t, err)
	e.teacher.edit("/roster", "label,name\nTray 01,Aoi Test\n").must(e.site, http.StatusSeeOther)
	e.bo.get("/tray").must(e.site, http.StatusUnauthorized)
	e.stranger.get("/t/"+link).must(e.site, http.StatusNotFound)
	e.aoi.get("/tray").must(e.site, http.StatusOK)
}

// The first phone that takes a name has it until it signs out or is freed.
func TestNameIsOnePhones(t *testing.T) {
	s := newSite(t)
	code, err := s.accounts.ClassCode(t.Context())
	fatal.If(t, err)
	first, second, teacher := s.joined("Bo Test"), s.visitor(), s.role(account.Instructor)
	as := url.Values{"code": {code}, "name": {"Bo Test"}}
	second.post("/join", as).must(s, http.StatusConflict, "Another phone has taken the name Bo Test")
	first.post("/join", as).must(s, http.StatusSeeOther) // again from the phone that has it
	second.post("/join", as).must(s, http.StatusConflict)
	teacher.get("/people").must(s, http.StatusOK, "Free Bo Test")
	teacher.post("/people/free", url.Values{"name": {"Bo Test"}}).must(s, http.StatusSeeOther)
	first.get("/tray").must(s, http.StatusUnauthorized)
	second.post("/join", as).must(s, http.StatusSeeOther)
	second.post("/signout", nil).must(s, http.StatusSeeOther)
	first.post("/join", as).must(s, http.StatusSeeOther)
}

// While a second photo is measured the first result stays; second photos are few.
func TestSecondPhotosAreFew(t *testing.T) {
	e := newEverybody(t)
	for i := range 6 {
		got := e.aoi.send(e.aoiShot+"/second", nil, "b.jpg", freshPhoto())
		if i == 5 {
			got.must(e.site, http.StatusConflict, "has had its second photos")
			break
		}
		got.must(e.site, http.StatusSeeOther)
		e.aoi.get(e.aoiShot).must(e.site, http.StatusOK, "measured anew", "80.0 × 35.0")
		e.teacher.get("/class").must(e.site, http.StatusOK, "Aoi Test")
		e.site.measure(madeUp)
	}
}

// A name that was made to point here shows nothing.
func TestHosts(t *testing.T) {
	s := newSite(t)
	s.server.Names = []string{"kitchen.example"}
	for host, well := range map[string]bool{"127.0.0.1:80": true, "[::1]:80": true, "kitchen.example": true, "KITCHEN.example.:8080": true,
		"elsewhere.example": false, "elsewhere.example:80": false, "192.0.2.99": false, "": false} {
		r, err := http.NewRequest("GET", s.url+"/", nil)
		fatal.If(t, err)
		r.Host = host
		if host == "" {
			r.Host = " "
		}
		got, err := http.DefaultClient.Do(r)
		if err != nil {
			continue // refused before it came
		}
		got.Body.Close()
		if (got.StatusCode == http.StatusOK) != well || !well && got.StatusCode != http.StatusMisdirectedRequest && got.StatusCode != http.StatusBadRequest {
			t.Errorf("host %q: %s", host, got.Status)
		}
	}
}

// Trouble with the disk is a sentence with what to do, on the page and in the log.
func TestTroubleIsSaid(t *testing.T) {
	s := newSite(t)
	for _, c := range []struct {
		err    error
		status int
		page   string
		log    string
	}{
		{&os.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}, http.StatusInsufficientStorage, "make room on the disk", "make room"},
		{fmt.Errorf("keep: %w", sqlite3.Error{Code: sqlite3.ErrFull}), http.StatusInsufficientStorage, "make room on the disk", "make room"},
		{&os.PathError{Op: "open", Path: "x", Err: syscall.EROFS}, http.StatusServiceUnavailable, "mounted read-only", "permissions"},
		{sqlite3.Error{Code: sqlite3.ErrReadonly}, http.StatusServiceUnavailable, "mounted read-only", "permissions"},
		{sqlite3.Error{Code: sqlite3.ErrCorrupt}, http.StatusInternalServerError, "restore a backup", "netagauge restore"},
		{sqlite3.Error{Code: sqlite3.ErrBusy}, http.StatusServiceUnavailable, "stop that program", "does not let go"},
		{fmt.Errorf("keep: %w", &pgconn.PgError{Code: "57P03"}), http.StatusServiceUnavailable, "cannot write to its database", "cannot be reached"},
		{&pgconn.PgError{Code: "40001"}, http.StatusServiceUnavailable, "at the same moment", "at the same moment"},
		{database.ErrUnsure.For(io.ErrUnexpectedEOF), http.StatusServiceUnavailable, "before you send it again", "before you do it again"},
		{errors.New("something else"), http.StatusInternalServerError, "a fault of its own", "something else"},
	} {
		s.said.Reset()
		got := httptest.NewRecorder()
		s.server.answer(got, httptest.NewRequest("GET", "/class", nil), c.err)
		if got.Code != c.status || !strings.Contains(got.Body.String(), c.page) || !strings.Contains(s.said.String(), c.log) {
			t.Errorf("%v: %d, log %q\n%s", c.err, got.Code, s.said, got.Body)
		}
	}
	s.said.Reset()
}

// A photo that is refused comes to its end first: a phone that is cut off while it sends
// shows words of its own. Who has gone is told nothing, and that is no trouble.
func TestRefusalWaitsForThePhoto(t *testing.T) {
	s := newSite(t)
	for _, err := range []error{errNotFound, errors.New("something else")} {
		photo := strings.NewReader(strings.Repeat("x", 1<<20))
		s.server.answer(httptest.NewRecorder(), httptest.NewRequest("POST", "/tray", photo), err)
		if photo.Len() > 0 {
			t.Errorf("%v: %d bytes of the photo were not let come", err, photo.Len())
		}
	}
	s.said.Reset()
	gone, leave := context.WithCancel(t.Context())
	leave()
	got := httptest.NewRecorder()
	s.server.answer(got, httptest.NewRequestWithContext(gone, "GET", "/class", nil), errors.New("something else"))
	if got.Body.Len() > 0 || s.said.Len() > 0 {
		t.Errorf("to who has gone: %q, log %q", got.Body, s.said)
	}
}

// Accounts that are damaged while the server runs are trouble of that sort, and no
// bare error.
func TestDamagedAccounts(t *testing.T) {
	s := newSite(t)
	path := filepath.Join(s.folder.Dir(), intake.AccountsFile)
	for _, name := range []string{path, path + "-wal"} {
		fatal.If(t, os.WriteFile(name, bytes.Repeat([]byte("no accounts "), 5000), 0o600))
	}
	v := s.visitor()
	if got := v.post("/signin", url.Values{"name": {"x"}, "passcode": {"y"}}); got.status/100 != 5 && got.status != http.StatusForbidden {
		t.Errorf("damaged accounts: %d", got.status)
	} else if got.status/100 == 5 && (!strings.Contains(got.body, "damaged") || !strings.Contains(s.said.String(), "restore")) {
		t.Errorf("damaged accounts: log %q\n%s", s.said, got.body)
	}
	s.said.Reset()
	if _, err := account.Open(t.Context(), path); err == nil || !strings.Contains(err.Error(), "restore a backup") {
		t.Errorf("they open with %v", err)
	}
}

// Past trays come in pages, each tray once, the latest first.
func TestPastHasPages(t *testing.T) {
	e := newEverybody(t)
	session, err := e.folder.Session(t.Context(), intake.Class, "Monday")
	fatal.If(t, err)
	for range 2*pastShown + 4 {
		x := intake.Shot{Owner: "trainee/Bo Test", Who: "Bo Test", Kind: intake.Class, Session: "Monday", Ticket: session.Ticket, Name: "x.jpg"}
		if _, err := e.folder.Receive(t.Context(), x, bytes.NewReader(smallPicture())); err != nil {
			t.Fatal(err)
		}
		e.site.measure(madeUp)
	}
	shots, earlier := regexp.MustCompile(`href="(/shots/\w+)"`), regexp.MustCompile(`/past\?before=\d+`)
	seen, path := map[string]bool{}, "/past"
	for pages := 0; path != "" && pages < 9; pages++ {
		body := e.bo.get(path).body
		for _, m := range shots.FindAllStringSubmatch(body, -1) {
			if seen[m[1]] {
				t.Errorf("%s is on two pages", m[1])
			}
			seen[m[1]] = true
		}
		path = earlier.FindString(body)
	}
	if len(seen) != 2*pastShown+4 {
		t.Errorf("%d trays on all pages", len(seen))
	}
}

// The page for phones shows the whole fingerprint, in lines that a phone has room
// for, has it compared before anything is installed, and leads on to TLS.
func TestInstallPage(t *testing.T) {
	s := newSite(t)
	got := s.visitor().get("/install")
	got.must(s, http.StatusOK, `href="https://192.0.2.7:8080/"`)
	parts := regexp.MustCompile(`<code lang="en">([0-9A-F:]+)</code>`).FindAllStringSubmatch(got.body, -1)
	var lines []string
	for _, p := range parts {
		lines = append(lines, p[1])
		if len(p[1]) > 24 {
			t.Errorf("the line %q is too long for a phone", p[1])
		}
	}
	if shown := strings.Join(lines, ":"); shown != s.server.Authority.Fingerprint() {
		t.Errorf("it shows %q", shown)
	}
	for _, way := range regexp.MustCompile(`(?s)<ol>(.*?)</ol>`).FindAllStringSubmatch(got.body, -1) {
		if compared := strings.Index(way[1], "Compare the fingerprint"); compared < 0 || strings.Contains(way[1][:compared], "Settings") || strings.Contains(way[1][:compared], "root") {
			t.Errorf("it is installed before it is compared:\n%s", way[1])
		}
	}
}
