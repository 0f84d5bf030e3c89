package serve

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"slices"
	"strconv"
	"strings"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/calibration"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/eye"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/cutout"
	"netagauge/internal/tell/report"
)

// eyeCard is a slice to be guessed: its picture with the size of what it shows, mm, and
// what may be asked.
type eyeCard struct {
	ID            string
	Fish          string
	Width, Height float64
	Picture       []byte // JPEG
	Questions     []eye.Question
	Rendered      bool // one of those that come with the program
}

// question is the one about a measure.
func (c eyeCard) question(measure string) (eye.Question, bool) {
	i := slices.IndexFunc(c.Questions, func(q eye.Question) bool { return q.Measure.Key == measure })
	if i < 0 {
		return eye.Question{}, false
	}
	return c.Questions[i], true
}

const (
	deckTrays  = 6 // the latest of the class, of which slices are shown
	deckSlices = 4 // of each at most
)

// deck are the slices that are shown now: some of the class's latest trays, without a
// name, and those that come with the program.
func (s *Server) deck(ctx context.Context) ([]eyeCard, error) {
	house, err := s.house(ctx)
	if err != nil {
		return nil, err
	}
	out, err := builtInCards(house)
	if err != nil {
		return nil, err
	}
	class, found, err := s.openedClass(ctx)
	if err != nil || !found {
		return out, err
	}
	shots, err := s.Folder.List(ctx, intake.Filter{Kind: intake.Class, Session: class.Name, States: []intake.State{intake.Measured}, Last: deckTrays})
	if err != nil {
		return nil, err
	}
	for _, x := range shots {
		cards, err := s.cardsOf(ctx, x)
		if err != nil {
			return nil, err
		}
		out = append(out, cards[:min(deckSlices, len(cards))]...)
	}
	return out, nil
}

// card finds one by its ID, also of a tray of an earlier class: a phone may have been out
// of reach for days.
func (s *Server) card(ctx context.Context, id string) (eyeCard, error) {
	house, err := s.house(ctx)
	if err != nil {
		return eyeCard{}, err
	}
	of, _, _ := strings.Cut(id, "-")
	var cards []eyeCard
	if of == builtIn {
		cards, err = builtInCards(house)
	} else {
		var x intake.Shot
		switch x, err = s.Folder.Shot(ctx, of); {
		case errors.Is(err, intake.ErrUnknown):
			return eyeCard{}, errNotFound
		case err != nil:
			return eyeCard{}, err
		case x.Kind != intake.Class || x.Result == 0:
			return eyeCard{}, errNotFound
		}
		cards, err = s.cardsOf(ctx, x)
	}
	if err != nil {
		return eyeCard{}, err
	}
	i := slices.IndexFunc(cards, func(c eyeCard) bool { return c.ID == id })
	if i < 0 {
		return eyeCard{}, errNotFound
	}
	return cards[i], nil
}

// cut is a slice cut out of a view, with the size of what it shows, mm.
type cut struct {
	picture       []byte // JPEG
	width, height float64
}

// keptCutouts of trays are some 6 MB.
const keptCutouts = 60

// cardsOf are the slices of a tray that have an answer and a view.
func (s *Server) cardsOf(ctx context.Context, x intake.Shot) ([]eyeCard, error) {
	tray, err := s.trayOf(ctx, x)
	if err != nil {
		return nil, err
	}
	cuts, err := s.cutsOf(ctx, x.Result, tray.Report)
	if err != nil {
		return nil, err
	}
	fish, group := x.Ticket.Fish()
	var out []eyeCard
	for _, slice := range grade.Slices([]grade.Tray{tray}) {
		p := slice.Piece
		c, ok := cuts[p.Number]
		if asks := eye.Questions(p, x.Ticket.Standard, group); ok && len(asks) > 0 {
			out = append(out, eyeCard{ID: x.ID + "-" + strconv.Itoa(p.Number), Fish: fish, Width: c.width, Height: c.height, Picture: c.picture, Questions: asks})
		}
	}
	return out, nil
}

// cutsOf are the slices of a result by number.
func (s *Server) cutsOf(ctx context.Context, result int64, r piece.Tray) (map[int]cut, error) {
	return s.cutouts.get(result, keptCutouts, func() (map[int]cut, error) {
		view, err := s.Folder.Book().View(ctx, result)
		f, ok := frameOf(r, false)
		if err != nil || !ok || len(view) == 0 {
			return nil, err
		}
		from, err := jpeg.Decode(bytes.NewReader(view))
		if err != nil {
			return nil, fmt.Errorf("%d: %w", result, err)
		}
		return cutAll(from, f.box, r)
	})
}

// cutAll cuts every measured piece out of the view of its tray.
func cutAll(view image.Image, box r2.Box, r piece.Tray) (map[int]cut, error) {
	out := map[int]cut{}
	for _, p := range r.MeasuredPieces() {
		if len(p.Outline) < 3 {
			continue
		}
		picture := cutout.Upright(view, box, p.Polygon(), p.AxisDeg)
		text, err := report.EncodeJPEG(picture)
		if err != nil {
			return nil, err
		}
		w, h := cutout.Size(picture.Rect)
		k := nearer(r.Mat, p.Thickness)
		out[p.Number] = cut{text, k * w, k * h}
	}
	return out, nil
}

// nearer is the true size of a slice's face by the size that it has in the view, which
// is drawn as high as the mat: a face nearer to the camera looks larger.
func nearer(m *piece.Mat, thickness piece.Value) float64 {
	if m == nil || m.CameraHeightMM <= 0 || !thickness.Known {
		return 1
	}
	return 1 - thickness.X/m.CameraHeightMM
}

// builtIn begins the IDs of the cards that come with the program.
const builtIn = "b"

// cardFile is one of them as kept in calibration/eye.
type cardFile struct {
	Picture string      `json:"picture"`
	Fish    string      `json:"fish"`
	Width   float64     `json:"width_mm"` // of what the picture shows
	Height  float64     `json:"height_mm"`
	Slice   piece.Piece `json:"slice"`
}

var builtInFiles = sync.OnceValues(func() ([]cardFile, error) {
	text, err := calibration.Eye.ReadFile("eye/cards.json")
	if err != nil {
		return nil, err
	}
	var out []cardFile
	return out, json.Unmarshal(text, &out)
})

func builtInCards(house standard.Standard) ([]eyeCard, error) {
	files, err := builtInFiles()
	if err != nil {
		return nil, err
	}
	var out []eyeCard
	for i, f := range files {
		group := ""
		if kind, err := weight.BuiltIn().Find(f.Fish); err == nil {
			group = kind.Group
		}
		picture, err := calibration.Eye.ReadFile("eye/" + f.Picture)
		if err != nil {
			return nil, err
		}
		out = append(out, eyeCard{ID: builtIn + "-" + strconv.Itoa(i+1), Fish: f.Fish, Width: f.Width, Height: f.Height, Picture: picture,
			Questions: eye.Questions(f.Slice, house, group), Rendered: true})
	}
	return out, nil
}
