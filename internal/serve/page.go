package serve

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"netagauge/internal/core/uncertainty"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/photos"
	"netagauge/internal/tell/handout"
	"netagauge/internal/tell/report"
)

//go:embed pages/*.html
var pageFiles embed.FS

//go:embed static
var staticFiles embed.FS

// version tells browsers that keep the static files of another one.
var version = sync.OnceValue(func() string {
	h := sha256.New()
	h.Write(matsJSON())
	err := fs.WalkDir(staticFiles, "static", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := staticFiles.ReadFile(path)
		h.Write(data)
		return err
	})
	if err != nil {
		panic(err) // they are embedded
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
})

func statics() http.Handler {
	files := http.NewServeMux()
	files.Handle("/static/", http.FileServerFS(staticFiles))
	files.HandleFunc("/static/mats.json", mats)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		if r.URL.Path == "/static/look.js" {
			w.Header().Set("Content-Security-Policy", lookPolicy)
		}
		files.ServeHTTP(w, r)
	})
}

// serviceWorker is the script that lets pages open without the server; it may act for the
// whole site, and browsers look for a newer one each time.
func serviceWorker(w http.ResponseWriter, _ *http.Request) {
	text, err := staticFiles.ReadFile("static/sw.js")
	if err != nil {
		panic(err) // it is embedded
	}
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Write(text)
}

// parsePages reads the templates by language and name; each is laid into
// layout.html.
func parsePages(all []lang) map[lang]map[string]*template.Template {
	out := map[lang]map[string]*template.Template{}
	for _, l := range all {
		others := slices.DeleteFunc(slices.Clone(all), func(o lang) bool { return o == l })
		out[l] = pagesIn(l, others)
	}
	return out
}

func pagesIn(l lang, others []lang) map[string]*template.Template {
	names, err := fs.Glob(pageFiles, "pages/*.html")
	if err != nil {
		panic(err)
	}
	base := template.Must(template.New("layout.html").Funcs(funcs(l, others)).ParseFS(pageFiles, "pages/layout.html", "pages/parts.html"))
	out := map[string]*template.Template{}
	for _, path := range names {
		name := strings.TrimSuffix(strings.TrimPrefix(path, "pages/"), ".html")
		if name == "layout" || name == "parts" {
			continue
		}
		out[name] = template.Must(template.Must(base.Clone()).ParseFS(pageFiles, path))
	}
	return out
}

func funcs(l lang, others []lang) template.FuncMap {
	return template.FuncMap{
		"t": l.Word, "say": l.Must, "lang": l.Tag, "others": func() []lang { return others }, "list": l.List, "sentence": func(s string) string { return capital(l.Word("sentence", s)) },
		"comma": func() string { return l.Word("point-comma") }, "colon": func() string { return l.Word("point-colon") }, "stop": func() string { return l.Word("point-stop") }, "semicolon": func() string { return l.Word("point-semicolon") },
		"neg": func(v float64) float64 { return -v }, "minus": func(a, b float64) float64 { return a - b }, "icon": icon, "mark": mark, "verdict": verdictKey, "fish": fish(l), "version": version,
		"n": func(v any, digits int) string { return uncertainty.Decimal(deref(v), digits) }, "pm": func(v, u any, digits int) string { return uncertainty.PlusMinus(deref(v), deref(u), digits) },
		"deref": deref, "confident": handout.Confidence, "short": func(hash string) string { return hash[:min(12, len(hash))] }, "hundred": func(v float64) float64 { return 100 * v }, "at340": func(v float64) float64 { return 340 * v }, "slice3": func(a ...string) []string { return a },
		"grades": func(v []float64) string { return l.List(rounded(v)) }, "day": day, "clock": func(t time.Time) string { return clock(t, time.Now()) },
		"printable": report.Printable, "query": url.QueryEscape, "lines": printableLines, "inc": func(i int) int { return i + 1 }, "percent": func(v float64) string { return uncertainty.Decimal(100*v, 0) },
		"thickness": func(p pieceData) template.HTML {
			if p.Top == nil {
				return ""
			}
			return report.ThicknessPicture(p.Piece, fmt.Sprintf("map-%d", p.Number), p.Top.Title)
		},
	}
}

// printableLines keeps the line breaks of a text made harmless.
func printableLines(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		lines[i] = report.Printable(l)
	}
	return strings.Join(lines, "\n")
}

// deref is a number that may be pointed to; templates ask whether it is there.
func deref(v any) float64 {
	switch v := v.(type) {
	case float64:
		return v
	case *float64:
		return *v
	}
	return math.NaN()
}

func rounded(v []float64) []string {
	var out []string
	for _, x := range v {
		out = append(out, uncertainty.Decimal(x, 0))
	}
	return out
}

// clock is the time of day, or the day of what is not of today.
func clock(t, now time.Time) string {
	if t, now = t.Local(), now.Local(); day(t) != day(now) {
		return day(t)
	}
	return t.Local().Format("15:04")
}

func day(t time.Time) string { return t.Format(time.DateOnly) }

// page is what every page is laid out from.
type page struct {
	Title   string
	Own     bool   // the page has a heading of its own, and the title stands above it
	Back    string // address of the page that it belongs to; empty for none
	Path    string // of this page, to come back to
	Here    string // part of the menu
	Site    string // what it is called; empty without an organisation
	Who     account.Session
	In      bool   // somebody is signed in
	Refresh int    // seconds after which a browser without script asks anew, 0 for never
	Live    string // address the script asks for the live part
	Open    bool   // others may read along, and this phone could prevent it
	Data    any
}

// show sends a page. Its Title is a key, or else a text as it is.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, name string, p page) error {
	l := s.language(r)
	if l.Has(p.Title) {
		p.Title = l.Word(p.Title)
	}
	p.Open = s.Authority != nil && r.TLS == nil && name != "install"
	if s.host != nil {
		p.Site = s.host.titleOf(r, s.Site)
	}
	p.Path = r.URL.RequestURI()
	if r.Method != http.MethodGet {
		p.Path = r.URL.Path
	}
	if who, found, err := s.who(r); err == nil {
		p.Who, p.In = who, found
	}
	var b bytes.Buffer
	if err := s.pages[l][name].ExecuteTemplate(&b, "layout.html", p); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return send(w, status, b.Bytes())
}

// live sends the part of a page that changes; 304 when the browser has it. A
// settled part makes the script load the whole page.
func (s *Server) live(w http.ResponseWriter, r *http.Request, name string, settled bool, data any) error {
	var b bytes.Buffer
	if err := s.pages[s.language(r)][name].ExecuteTemplate(&b, "live", data); err != nil {
		return err
	}
	if settled {
		w.Header().Set("Settled", "yes")
	}
	tag := sha256.Sum256(b.Bytes())
	etag := `"` + hex.EncodeToString(tag[:8]) + `"`
	w.Header().Set("ETag", etag)
	if r.Header.Get("If-None-Match") == etag && !settled {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	return send(w, http.StatusOK, b.Bytes())
}

func send(w http.ResponseWriter, status int, body []byte) error {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	w.Write(body) // a browser that is gone needs nothing more
	return nil
}

// trouble is a fault of the program, or of the folder: it is logged, and the page
// says what people there can do; nil where nobody waits for the answer.
func (s *Server) trouble(r *http.Request, err error) *instead {
	if r.Context().Err() != nil {
		return nil
	}
	err = database.Plain(err)
	s.Log.ErrorContext(r.Context(), "answer a request", "method", r.Method, "path", hidden(r.URL), "err", err)
	status, why := http.StatusInternalServerError, "trouble-text"
	for cause, is := range troubles {
		if errors.Is(err, cause) {
			status, why = is.status, is.key
		}
	}
	return problem(status, "trouble", why)
}

// troubles are those that people at the server can end.
var troubles = map[error]struct {
	status int
	key    string
}{
	database.ErrFull:     {http.StatusInsufficientStorage, "disk-full"},
	database.ErrReadOnly: {http.StatusServiceUnavailable, "disk-read-only"},
	database.ErrLocked:   {http.StatusServiceUnavailable, "disk-locked"},
	database.ErrDamaged:  {http.StatusInternalServerError, "disk-damaged"},
	database.ErrAway:     {http.StatusServiceUnavailable, "disk-away"},
	database.ErrBusy:     {http.StatusServiceUnavailable, "disk-busy"},
	database.ErrUnsure:   {http.StatusServiceUnavailable, "disk-unsure"},
	database.ErrStandby:  {http.StatusServiceUnavailable, "disk-away"},
	photos.ErrAway:       {http.StatusServiceUnavailable, "photos-away"},
}

// hidden is an address for the log, without a link's secret.
func hidden(u *url.URL) string {
	if strings.HasPrefix(u.Path, "/t/") {
		return "/t/…"
	}
	return fmt.Sprintf("%q", u.Path)
}
