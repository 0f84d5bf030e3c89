package main

import (
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
)

// wifi stands between the phone and the server, and can be gone.
type wifi struct {
	to   string
	mu   sync.Mutex
	gone bool
	open map[net.Conn]bool
}

func newWifi(t *testing.T, to string) (w *wifi, address string) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal.If(t, err)
	t.Cleanup(func() { l.Close() })
	w = &wifi{to: to, open: map[net.Conn]bool{}}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go w.carry(c)
		}
	}()
	return w, "http://" + l.Addr().String()
}

func (w *wifi) carry(c net.Conn) {
	defer c.Close()
	if !w.enter(c) {
		return
	}
	defer w.leave(c)
	s, err := net.Dial("tcp", w.to)
	if err != nil {
		return
	}
	defer s.Close()
	go func() { io.Copy(s, c); s.Close() }()
	io.Copy(c, s)
}

func (w *wifi) enter(c net.Conn) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.open[c] = true
	return !w.gone
}

func (w *wifi) leave(c net.Conn) {
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.open, c)
}

// be takes the Wi-Fi away, with all that is on its way, or brings it back.
func (w *wifi) be(there bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.gone = !there
	for c := range w.open {
		if w.gone {
			c.Close()
		}
	}
}

// Thirty photos taken while the server is out of reach all arrive, each once, after
// the page was loaded anew, its process was killed and a day went by.
func TestTakenOffline(t *testing.T) {
	everywhere(t, false, (*phone).takesOffline)
}

func (p *phone) takesOffline() {
	link, _ := p.instructorBegins()
	w, address := newWifi(p.T, strings.TrimPrefix(p.base, "http://"))
	p.base = address
	p.open(link[strings.Index(link, "/t/"):])
	p.open("/tray")
	p.do("the page opens by itself from now on", chromedp.WaitVisible(".camera"), chromedp.Evaluate[chromedp.Void](`navigator.serviceWorker.ready.then(() => fetch("/tray")).then(() => 0)`, chromedp.EvalAwaitPromise))
	p.open("/tray") // under the worker
	w.be(false)
	const photos = 30
	for i := range photos {
		if i == 10 {
			p.do("load anew without Wi-Fi", chromedp.Reload(), chromedp.WaitVisible(".queue"))
		}
		p.take(onlyPhoto(p.T, i))
		p.counts(i + 1)
	}
	p.look("tray-offline")
	p.killed(address)
	p.counts(photos)
	w.be(true)
	p.do("a day later", chromedp.Evaluate[chromedp.Void](`void dispatchEvent(new Event("online"))`))
	p.counts(0)
	p.open("/past")
	n, err := chromedp.Run(p.ctx, chromedp.Evaluate[int](`new Set([...document.querySelectorAll("ul.list a")].map(a => a.href)).size`))
	if err != nil || n != photos {
		p.Errorf("%d trays arrived, want %d (%v)", n, photos, err)
	}
	more, err := chromedp.Run(p.ctx, chromedp.Evaluate[int](`document.querySelectorAll('a[href*="before="]').length`))
	if err != nil || more != 0 {
		p.Errorf("there are more than %d (%v)", photos, err)
	}
}

// onlyPhoto is a photo like no other.
func onlyPhoto(t *testing.T, i int) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 960, 720))
	for j := range 720 {
		for k := range 960 {
			img.Set(k, j, color.RGBA{uint8(8 * i), uint8(j), uint8(k), 255})
		}
	}
	path := filepath.Join(t.TempDir(), fmt.Sprintf("photo-%d.jpg", i))
	f, err := os.Create(path)
	fatal.If(t, err)
	defer f.Close()
	fatal.If(t, jpeg.Encode(f, img, nil))
	return path
}

// counts waits until the page says that so many photos are kept on the phone.
func (p *phone) counts(want int) {
	p.Helper()
	const ask = `(() => { const q = document.querySelector("[data-queue]"); return q ? (q.hidden ? 0 : Number(q.querySelector("[data-count]").textContent)) : -1 })()`
	got := -1
	for range 1200 {
		var err error
		if got, err = chromedp.Run(p.ctx, chromedp.Evaluate[int](ask)); err == nil && got == want {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.Fatalf("%d photos are kept, want %d; the page says:\n%s", got, want, p.text())
}

// killed ends the page's process as a phone does that runs out of memory, and opens
// the page in another one, a day later by its clock.
func (p *phone) killed(address string) {
	p.Helper()
	go chromedp.Call(p.ctx, cdppage.Crash, cdp.Empty{}) // gives no answer
	time.Sleep(time.Second)
	next, stop := chromedp.NewContext(p.ctx)
	p.Cleanup(stop)
	p.ctx = next
	_, err := chromedp.Call(p.ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{
		Source: `{ const now = Date.now.bind(Date); Date.now = () => now() + 24 * 3600 * 1000; }`})
	fatal.If(p, err)
	p.do("open the page again", chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch), chromedp.Navigate(address+"/tray"), chromedp.WaitVisible(".queue"))
}
