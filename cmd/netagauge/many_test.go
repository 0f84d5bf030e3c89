package main

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/testdata/photos"
)

// many is how many photos one server gets over days, so many to a class.
const many, perClass = 2000, 100

// One server takes in and measures 2,000 photos over HTTP, and its memory stays
// flat. It takes a quarter of an hour, so it runs only when NETAGAUGE_LONG is set.
func TestManyOverHTTP(t *testing.T) {
	if os.Getenv("NETAGAUGE_LONG") == "" {
		t.Skip("set NETAGAUGE_LONG to send 2,000 photos")
	}
	data, err := photos.Files.ReadFile("tray-a4.jpg")
	fatal.If(t, err)
	roster := "label,name\n"
	for i := range phones {
		roster += fmt.Sprintf("Tray %02d,Trainee %02d\n", i+1, i+1)
	}
	l := load{T: t, server: startServer(t, roster)}
	teacher := l.client()
	l.post(teacher, "/signin", url.Values{"name": {"instructor"}, "passcode": {l.passcode}})
	openClass := func(n int64) {
		l.post(teacher, "/class", url.Values{"class": {fmt.Sprintf("Class %02d", n/perClass)}, "day": {"2026-11-25"}, "species": {"salmon"}, "thickness": {"4.2"}})
	}
	openClass(0)
	links := regexp.MustCompile(`<code>http://[^/]+(/t/[\w-]+)</code>`).FindAllStringSubmatch(l.post(teacher, "/people/links", nil), -1)
	var next, busy atomic.Int64
	var clients []*http.Client
	var all sync.WaitGroup
	for i, link := range links {
		c := phoneAt(i)
		clients = append(clients, c)
		l.get(c, link[1])
		l.post(c, "/mine", url.Values{"name": {"yes"}})
		all.Go(func() {
			for n := next.Add(1); n <= many; n = next.Add(1) {
				if n%perClass == 0 {
					openClass(n)
				}
				for !l.sendOnce(c, marked(data, int(n))) {
					busy.Add(1)
					time.Sleep(time.Second)
				}
			}
		})
	}
	sent := make(chan struct{})
	go func() { all.Wait(); close(sent) }()
	var seen []memory
	look := func() {
		m := memoryOf(l.process.Pid)
		seen = append(seen, m)
		t.Logf("%s: %d sent; server %d MB, its workers %d MB", time.Now().Format(time.TimeOnly), min(next.Load(), many), m.server, m.workers)
	}
	for waiting := true; waiting; {
		select {
		case <-sent:
			waiting = false
		case <-time.After(30 * time.Second):
			look()
			l.get(teacher, "/class")
		}
	}
	for range 600 {
		if !strings.Contains(l.get(teacher, "/class?live"), "In hand") {
			break
		}
		time.Sleep(time.Second)
	}
	look()
	t.Logf("%d times a phone was told to wait", busy.Load())
	measured := 0
	for _, c := range clients {
		measured += len(regexp.MustCompile(`\d+ slices?: \d+ good`).FindAllString(l.get(c, "/past"), -1))
	}
	if measured != many {
		t.Errorf("%d photos of %d were measured", measured, many)
	}
	quarter, last := seen[len(seen)/4], seen[len(seen)-1]
	if last.server > quarter.server*5/4 || last.workers > quarter.workers*5/4 {
		t.Errorf("memory grew from %+v to %+v MB", quarter, last)
	}
}

// phoneAt is a client with an address of its own, as each phone has.
func phoneAt(i int) *http.Client {
	from := &net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 1, byte(i+1))}}
	jar, _ := cookiejar.New(nil)
	return &http.Client{Jar: jar, Timeout: 2 * time.Minute, Transport: &http.Transport{DialContext: from.DialContext}}
}

// sendOnce reports whether the photo was received rather than put off.
func (l load) sendOnce(c *http.Client, photo []byte) bool {
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	part, _ := m.CreateFormFile("photo", "tray.jpg")
	part.Write(photo)
	m.Close()
	a, err := c.Post(l.base+"/tray", m.FormDataContentType(), &b)
	if err != nil {
		l.Error(err)
		return true
	}
	a.Body.Close()
	switch a.StatusCode {
	case http.StatusOK:
		return true
	case http.StatusServiceUnavailable, http.StatusTooManyRequests:
		return false
	}
	l.Errorf("a photo was answered with %s", a.Status)
	return true
}

// memory in MB that is in use (VmRSS) by the server and by its workers.
type memory struct{ server, workers int }

func memoryOf(pid int) (m memory) {
	m.server = resident(strconv.Itoa(pid))
	all, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, path := range all {
		stat, _ := os.ReadFile(path)
		_, after, _ := strings.Cut(string(stat), ") ")
		if f := strings.Fields(after); len(f) > 1 && f[1] == strconv.Itoa(pid) {
			m.workers += resident(strings.Split(path, "/")[2])
		}
	}
	return m
}

func resident(pid string) int {
	status, _ := os.ReadFile("/proc/" + pid + "/status")
	m := regexp.MustCompile(`VmRSS:\s+(\d+) kB`).FindSubmatch(status)
	if m == nil {
		return 0
	}
	kb, _ := strconv.Atoi(string(m[1]))
	return kb >> 10
}
