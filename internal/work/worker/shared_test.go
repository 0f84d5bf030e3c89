package worker

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httputil"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/notify"
	"netagauge/internal/keep/photos"
	"netagauge/internal/keep/photos/bucket"
	"netagauge/internal/keep/photos/s3test"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/queue"
)

// place is a database and a store of photos, as one more process has them.
type place struct {
	server *database.Server
	queue  *queue.Queue
	news   *notify.News
	photos string // a bucket, or a folder that others lie in
	mu     sync.Mutex
	sites  map[string]*intake.Folder
}

const testSite = "site_test"

func openPlace(ctx context.Context, address, photos string) (p *place, err error) {
	p = &place{photos: photos, sites: map[string]*intake.Folder{}}
	for p.server == nil { // it may be down just now
		if p.server, err = database.Connect(ctx, address); err != nil {
			time.Sleep(100 * time.Millisecond)
		}
	}
	if p.queue, err = queue.Open(ctx, p.server, slog.New(slog.DiscardHandler)); err != nil {
		return nil, err
	}
	p.news, err = notify.Open(address)
	return p, err
}

func (p *place) close() {
	for _, f := range p.sites {
		f.Close()
	}
	p.news.Close()
	p.queue.Close()
	p.server.Close()
}

// site opens a site, once.
func (p *place) site(ctx context.Context, name string) (*intake.Folder, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if f := p.sites[name]; f != nil {
		return f, nil
	}
	store, tmp, err := p.store()
	if err != nil {
		return nil, err
	}
	f, err := intake.OpenShared(ctx, intake.Shared{At: p.server.Schema(name), Photos: store, Tmp: tmp, Peers: intake.Peers{Site: name, Queue: p.queue, News: p.news}}, "v1")
	if err != nil {
		return nil, err
	}
	f.Limits.Free = 0
	p.sites[name] = f
	return f, nil
}

func (p *place) store() (s photos.Store, tmp string, err error) {
	if !strings.HasPrefix(p.photos, "s3:") {
		s, err = photos.InFolder(filepath.Join(p.photos, "photos"), filepath.Join(p.photos, "aside"))
		return s, p.photos, err
	}
	at, err := bucket.Parse(p.photos)
	if err != nil {
		return nil, "", err
	}
	s, err = bucket.Open(at, "")
	return s, "", err
}

// share works off the queue.
func (p *place) share(ctx context.Context, h Hands) error {
	return Share(ctx, p.queue, func(ctx context.Context, site string) (Shared, error) { return p.site(ctx, site) }, h, time.Second, func(err error) { fmt.Fprintln(os.Stderr, err) })
}

// roleEnv makes this test binary one of the processes that share a site, to be killed: a
// server at an address, or one that measures by quick workers.
const roleEnv, databaseEnv, photosEnv = "NETAGAUGE_TEST_ROLE", "NETAGAUGE_TEST_DATABASE", "NETAGAUGE_TEST_PHOTOS"

const measures = "measures"

// hurried are a pool's hands that another process may soon count as gone.
type hurried struct{ *Pool }

func (hurried) Longest() time.Duration { return 2 * time.Second }

// play is what the process of a role does until it is killed.
func play(role string) error {
	ctx := context.Background()
	p, err := openPlace(ctx, os.Getenv(databaseEnv), os.Getenv(photosEnv))
	if err != nil {
		return err
	}
	if role == measures {
		this, err := os.Executable()
		if err != nil {
			return err
		}
		if os.Getenv(sortEnv) == measuring {
			return p.share(ctx, NewPool(Options{Workers: 1, Command: []string{this}, Env: []string{workerEnv + "=" + measuring}}))
		}
		return p.share(ctx, hurried{NewPool(Options{Workers: 2, Command: []string{this}, Env: []string{workerEnv + "=quick"}})})
	}
	s, err := p.site(ctx, testSite)
	if err != nil {
		return err
	}
	return http.ListenAndServe(role, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id, err := takeIn(s, r)
		if err != nil {
			http.Error(w, err.Error(), http.StatusServiceUnavailable)
			return
		}
		fmt.Fprint(w, id)
	}))
}

// takeIn takes in a photo, or a second one for an ID.
func takeIn(s *intake.Folder, r *http.Request) (string, error) {
	name := r.FormValue("name")
	if id := r.FormValue("first"); id != "" {
		_, err := s.AddSecond(r.Context(), id, name, r.Body)
		return id, err
	}
	shot, err := s.Receive(r.Context(), intake.Shot{Owner: name, Who: name, Kind: intake.Class, Session: "Monday", Ticket: told(), Name: name}, r.Body)
	return shot.ID, err
}

// site4test is all that kill rounds are about: two servers behind one address, two
// processes that measure, the database and the photos' store.
type site4test struct {
	t        *testing.T
	postgres *postgrestest.Server
	s3       *s3test.Process
	photos   string
	roles    [4]string
	running  [4]*exec.Cmd
	proxy    string
}

func newSite4test(t *testing.T) *site4test {
	t.Helper()
	x := &site4test{t: t, postgres: postgrestest.Own(t), s3: s3test.StartProcess(t)}
	x.photos = s3test.Address(x.s3.URL, "test")
	x.roles = [4]string{freeAddress(t), freeAddress(t), measures, measures}
	next := atomic.Int64{}
	proxy := &http.Server{Handler: &httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) {
			r.Out.URL.Scheme, r.Out.URL.Host = "http", x.roles[next.Add(1)%2]
		},
		ErrorHandler: func(w http.ResponseWriter, _ *http.Request, err error) {
			http.Error(w, err.Error(), http.StatusBadGateway)
		},
	}}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	go proxy.Serve(l)
	t.Cleanup(func() { proxy.Close() })
	x.proxy = "http://" + l.Addr().String()
	t.Cleanup(func() {
		for i := range x.running {
			x.kill(i)
		}
	})
	return x
}

func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	defer l.Close()
	return l.Addr().String()
}

func (x *site4test) begin(i int) {
	x.t.Helper()
	this, err := os.Executable()
	if err != nil {
		x.t.Fatal(err)
	}
	c := exec.Command(this)
	c.Env = append(os.Environ(), roleEnv+"="+x.roles[i], databaseEnv+"="+x.postgres.URL(), photosEnv+"="+x.photos)
	if testing.Verbose() {
		c.Stderr = os.Stderr
	}
	if err := c.Start(); err != nil {
		x.t.Fatal(err)
	}
	x.running[i] = c
}

func (x *site4test) kill(i int) {
	if c := x.running[i]; c != nil {
		c.Process.Kill()
		c.Wait()
		x.running[i] = nil
	}
}

// strike takes down one of the six, for up to half a second.
func (x *site4test) strike(random *rand.Rand) string {
	down := time.Duration(random.IntN(500)) * time.Millisecond
	switch i := random.IntN(6); i {
	case 4:
		x.postgres.Crash(x.t)
		time.Sleep(down)
		x.postgres.Again(x.t)
		return "PostgreSQL"
	case 5:
		x.s3.Kill()
		time.Sleep(down)
		x.s3.Start(x.t)
		return "S3"
	default:
		x.kill(i)
		time.Sleep(down)
		x.begin(i)
		return []string{"a server", "a server", "a worker", "a worker"}[i]
	}
}

// phones send photos until they are told to stop, each until it is told that it was
// received, every third time a second one behind it.
type phones struct {
	proxy string
	photo []byte
	stop  chan struct{}
	all   sync.WaitGroup
	next  atomic.Int64
	mu    sync.Mutex
	told  map[string]string // ID of what was received, by name
}

func (p *phones) begin(n int) {
	p.stop, p.told = make(chan struct{}), map[string]string{}
	for range n {
		p.all.Go(func() {
			for {
				select {
				case <-p.stop:
					return
				default:
					p.one(int(p.next.Add(1)))
				}
			}
		})
	}
}

func (p *phones) one(n int) {
	name := strconv.Itoa(n)
	photo := append(bytes.Clone(p.photo), byte(n), byte(n>>8))
	id, ok := p.send("?name="+name, photo)
	if ok && n%3 == 0 {
		_, ok = p.send("?name=moved&first="+id, append(photo, 'b'))
	}
	if ok {
		p.mu.Lock()
		p.told[name] = id
		p.mu.Unlock()
	}
}

// send sends until it is told that it was received; not ok when it is told to stop.
func (p *phones) send(query string, photo []byte) (id string, ok bool) {
	for {
		answer, err := http.Post(p.proxy+"/"+query, "image/jpeg", bytes.NewReader(photo))
		if err == nil {
			text, err := io.ReadAll(answer.Body)
			answer.Body.Close()
			if err == nil && answer.StatusCode == http.StatusOK {
				return string(text), true
			}
		}
		select {
		case <-p.stop:
			return "", false
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// Two servers behind one address, two processes that measure, PostgreSQL and an S3 server:
// any of them killed at random moments loses nothing that a phone was told was received,
// and all is measured once in the record. Four rounds, fifty in .ci/long, where S3 is gone
// for a whole minute, too.
func TestKilledPartsOfASharedSite(t *testing.T) {
	rounds := 4
	if os.Getenv(longEnv) != "" {
		rounds = 50
	}
	x := newSite4test(t)
	at, err := openPlace(t.Context(), x.postgres.URL(), x.photos)
	fatal.If(t, err)
	t.Cleanup(at.close)
	s, err := at.site(t.Context(), testSite)
	fatal.If(t, err)
	fatal.If(t, s.SetSession(t.Context(), intake.Session{Kind: intake.Class, Name: "Monday", HeldOn: time.Now(), Ticket: told()}))
	for i := range x.running {
		x.begin(i)
	}
	p := &phones{proxy: x.proxy, photo: sample(t, "tray-laid.jpg")[:60_000]}
	p.begin(3)
	random := rand.New(rand.NewPCG(20261126, 11))
	struck := map[string]int{}
	for n := range rounds {
		time.Sleep(time.Duration(300+random.IntN(900)) * time.Millisecond)
		struck[x.strike(random)]++
		if n == 24 {
			x.s3.Kill()
			time.Sleep(time.Minute)
			x.s3.Start(t)
			struck["S3 for a minute"]++
		}
	}
	time.Sleep(time.Second)
	close(p.stop)
	p.all.Wait()
	x.settle(s)
	x.check(s, p.told)
	t.Logf("%v were killed; phones were told of %d photos", struck, len(p.told))
}

// settle lets everything be measured. Two fresh processes find at once what the killed
// ones had in hand.
func (x *site4test) settle(s *intake.Folder) {
	x.t.Helper()
	for _, i := range []int{2, 3} {
		x.kill(i)
		x.begin(i)
	}
	began := time.Now()
	for {
		n, err := s.Waiting(x.t.Context())
		if err == nil && n == 0 {
			x.t.Logf("all was measured %v after the last kill", time.Since(began).Round(time.Second))
			return
		}
		if time.Since(began) > 2*time.Minute {
			x.t.Fatalf("%d photos still wait, %v", n, err)
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// check counts, from outside as well.
func (x *site4test) check(s *intake.Folder, received map[string]string) {
	x.t.Helper()
	shots, err := s.List(x.t.Context(), intake.Filter{})
	if err != nil {
		x.t.Fatal(err)
	}
	ids, hashes, results, pairs := map[string]bool{}, map[string]bool{}, map[int64]bool{}, 0
	for _, shot := range shots {
		ids[shot.ID], hashes[shot.Hash], results[shot.Result] = true, true, true
		if shot.State != intake.Measured {
			x.t.Errorf("photo %d is %s %s %v", shot.Number, shot.State, shot.Code, shot.Why)
		}
		if shot.Second.Counts() {
			pairs++
		}
		x.whole(s, shot)
	}
	for name, id := range received {
		if !ids[id] {
			x.t.Errorf("photo %s that a phone was told was received is lost", name)
		}
	}
	if len(received) == 0 || pairs == 0 {
		x.t.Errorf("%d photos were received, %d with a second one", len(received), pairs)
	}
	n := len(shots)
	if len(hashes) != n || len(results) != n || results[0] {
		x.t.Errorf("%d photos with %d contents and %d results", n, len(hashes), len(results))
	}
	for query, want := range map[string]int{
		"SELECT count(*) - count(DISTINCT photo_hash) FROM result":                         0,
		"SELECT count(DISTINCT substr(photo_hash, 1, 64)) FROM result":                     n,
		"SELECT count(*) FROM result WHERE photo_hash LIKE '%+%'":                          pairs,
		"SELECT count(DISTINCT result_id) FROM entry WHERE present = 1 AND trainee_id > 0": n,
		"SELECT count(*) FROM entry WHERE present = 1 AND trainee_id > 0":                  n,
		"SELECT count(*) FROM river.river_job WHERE state NOT IN ('completed', 'running')": 0,
	} {
		if got := value(x.t, x.outside(), query); got != want {
			x.t.Errorf("%s gives %d, want %d", query, got, want)
		}
	}
}

// outside is the database as anybody sees it.
func (x *site4test) outside() *sql.DB {
	db, err := sql.Open("pgx", x.postgres.URL()+"&search_path="+testSite)
	if err != nil {
		x.t.Fatal(err)
	}
	x.t.Cleanup(func() { db.Close() })
	return db
}

// whole reads the shot's photos.
func (x *site4test) whole(s *intake.Folder, shot intake.Shot) {
	x.t.Helper()
	f, err := s.OpenPhoto(x.t.Context(), shot)
	if err == nil && shot.Second.Counts() {
		second, serr := s.OpenSecond(x.t.Context(), shot)
		err = errors.Join(serr, second.Close())
	}
	if err != nil {
		x.t.Errorf("photo %d: %v", shot.Number, err)
		return
	}
	f.Close()
}
