package serve

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"net/http"
	"strconv"
	"sync"

	"golang.org/x/image/draw"

	"netagauge/internal/keep/account"
	"netagauge/internal/tell/report"
)

// Widths in px that views are scaled to: of a tray on a phone, and of one in a list.
const (
	phoneWidth = 1170 // 390 CSS px at three a pixel
	listWidth  = 240
)

// lately keeps what was made last, by what it was made of: a whole class asks for the same
// again and again. One thing is made at a time.
type lately[K comparable, V any] struct {
	mu   sync.Mutex
	last map[K]V
}

// get is what was made of a key, so many of which are kept at most.
func (l *lately[K, V]) get(key K, most int, make func() (V, error)) (V, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if made, ok := l.last[key]; ok {
		return made, nil
	}
	made, err := make()
	if err != nil {
		return made, err
	}
	if len(l.last) >= most || l.last == nil {
		l.last = map[K]V{}
	}
	l.last[key] = made
	return made, nil
}

// forget drops all: SQLite may give a deleted result's number to another.
func (l *lately[K, V]) forget() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.last = nil
}

type viewKey struct {
	result int64
	width  int
}

// keptViews are some 8 MB at most.
const keptViews = 100

// view sends the field as the photo shows it, with nothing drawn on it, never the
// photo itself, which holds the place where it was taken; where a program of the time
// before kept none, the picture with everything drawn on it.
func (s *Server) view(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.withResult(r, who)
	if err != nil {
		return err
	}
	return s.sendView(w, r, x.Result)
}

func (s *Server) sendView(w http.ResponseWriter, r *http.Request, result int64) error {
	jpeg, err := s.viewOf(r.Context(), result, r.URL.Query().Get("w"))
	if err == nil && len(jpeg) > 0 { // the address names the result, whose picture never changes
		w.Header().Set("Cache-Control", "private, max-age=3600")
	}
	return sendJPEG(w, jpeg, err)
}

func (s *Server) viewOf(ctx context.Context, result int64, asked string) ([]byte, error) {
	width := map[string]int{strconv.Itoa(phoneWidth): phoneWidth, strconv.Itoa(listWidth): listWidth}[asked]
	if width == 0 {
		return s.wholeView(ctx, result)
	}
	return s.views.get(viewKey{result, width}, keptViews, func() ([]byte, error) {
		text, err := s.wholeView(ctx, result)
		if err != nil || len(text) == 0 {
			return text, err
		}
		return scaled(text, width)
	})
}

func (s *Server) wholeView(ctx context.Context, result int64) ([]byte, error) {
	text, err := s.Folder.Book().View(ctx, result)
	if err == nil && len(text) == 0 {
		return s.Folder.Book().Picture(ctx, result)
	}
	return text, err
}

// scaled is a JPEG of the program's own at a width in px, if it is wider.
func scaled(text []byte, width int) ([]byte, error) {
	from, err := jpeg.Decode(bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	size := from.Bounds()
	if size.Dx() <= width {
		return text, nil
	}
	to := image.NewRGBA(image.Rect(0, 0, width, max(1, width*size.Dy()/size.Dx())))
	draw.ApproxBiLinear.Scale(to, to.Rect, from, size, draw.Src, nil)
	return report.EncodeJPEG(to)
}
