package serve

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"math"
	mathrand "math/rand/v2"
	"net/http"
	"strconv"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/textfile"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/eye"
	"netagauge/internal/keep/account"
)

// eyes are the pages where people train to see what a slice measures.
func (s *Server) eyes(m *http.ServeMux) {
	trainee := s.only(account.Trainee)
	m.Handle("GET /eye", trainee(s.eye))
	m.Handle("POST /eye", trainee(s.guess))
	m.Handle("GET /eye/deck", trainee(s.eyeDeck))
	m.Handle("GET /eye/cards/{id}", trainee(s.eyePicture))
	m.Handle("GET /eye/trend.svg", trainee(s.eyeTrend))
	m.Handle("POST /eye/first", trainee(s.setGuessFirst))
	m.Handle("POST /shots/{id}/guess", trainee(s.guessTray))
	m.Handle("GET /class/eyes", s.only(account.Instructor)(s.classEyes))
}

// lastGuesses are as many as an eye is judged by, at most.
const lastGuesses = 600

// eyeData fills the page where slices are guessed.
type eyeData struct {
	Card     eyeCard
	Asks     eye.Question
	Token    string // of the guess to come
	Told     *toldData
	Readings []readingData
	Eye      []float64   // right guesses by day, percent, oldest first
	Hand     []float64   // grades
	Trend    bool        // there is more than one day to show
	Lead     phrase.Text // whether the eye is ahead of the hand; empty before the first grade
	First    bool        // results wait for a guess
	Cold     *coldData   // of the latest tray
	Bank     cardSize
}

// cardSize is a bank card's, ISO/IEC 7810:2019, ID-1, in mm.
type cardSize struct{ Short, Long float64 }

var bankCard = cardSize{53.98, 85.60}

// toldData is the answer to a guess.
type toldData struct {
	eye.Guess
	Unit   string
	Digits int
	Card   eyeCard
}

// Way is which way a number was off: near, short or over.
func (t toldData) Way() string {
	switch {
	case t.Right():
		return "near"
	case t.Off() < 0:
		return "under"
	}
	return "over"
}

// Gap is how far off it was, as people read it.
func (t toldData) Gap() string { return uncertainty.Decimal(math.Abs(t.Off()), t.Digits) }

// readingData is a reading with its unit.
type readingData struct {
	eye.Reading
	Unit   string
	Digits int
}

func (s *Server) eye(w http.ResponseWriter, r *http.Request, who account.Session) error {
	cards, err := s.deck(r.Context())
	if err != nil {
		return err
	}
	data := eyeData{Token: rand.Text(), Bank: bankCard, First: guessesFirst(r)}
	data.Card = cards[mathrand.IntN(len(cards))]
	data.Asks = data.Card.Questions[mathrand.IntN(len(data.Card.Questions))]
	if data.Told, err = s.told(r.Context(), who, r.URL.Query().Get("told")); err != nil {
		return err
	}
	guesses, err := s.guesses(r.Context(), who)
	if err != nil {
		return err
	}
	data.Readings = readingsOf(guesses)
	if err := s.courses(r.Context(), who, guesses, &data); err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "eye", page{Title: "eye-title", Here: "eye", Data: data})
}

// courses fills in how eye and hand come on, and how long the latest tray has been out.
func (s *Server) courses(ctx context.Context, who account.Session, guesses []eye.Guess, data *eyeData) error {
	mine, _, err := s.mine(ctx, who, 0, 1)
	if err != nil {
		return err
	}
	if len(mine) > 0 {
		data.Cold = coldOf(mine[0].At, time.Now())
	}
	if who.Limited {
		return nil
	}
	hand, err := s.grades(ctx, who.Who)
	if err != nil {
		return err
	}
	for _, g := range eyeCourse(guesses) {
		data.Eye = append(data.Eye, g.Percent)
	}
	for _, g := range hand {
		data.Hand = append(data.Hand, g.Percent)
	}
	if len(hand) > 0 {
		data.Lead = leadSays(leads(guesses, hand))
	}
	data.Trend = len(data.Eye) > 1
	return nil
}

// guesses are those that a trainee sees: by the class code only today's, as of the trays.
func (s *Server) guesses(ctx context.Context, who account.Session) ([]eye.Guess, error) {
	since := time.Time{}
	if who.Limited {
		since = time.Now().Add(-24 * time.Hour)
	}
	return s.Folder.Book().Guesses(ctx, person(who), since, lastGuesses)
}

func readingsOf(guesses []eye.Guess) []readingData {
	var out []readingData
	for _, x := range eye.Readings(guesses) {
		unit, digits := unitOf(x.Measure)
		out = append(out, readingData{x, unit, digits})
	}
	return out
}

func unitOf(measure string) (unit string, digits int) {
	for _, m := range eye.Asked() {
		if m.Key == measure && m != piece.Cover {
			return m.Unit.Sign, m.Digits
		}
	}
	return "", 0
}

// told is the answer to a guess that was just made; nil where there is none.
func (s *Server) told(ctx context.Context, who account.Session, id string) (*toldData, error) {
	if id == "" {
		return nil, nil
	}
	g, found, err := s.Folder.Book().Guess(ctx, person(who), id)
	if err != nil || !found {
		return nil, err
	}
	card, err := s.card(ctx, g.Card)
	if err != nil && !errors.Is(err, errNotFound) {
		return nil, err
	}
	unit, digits := unitOf(g.Measure)
	return &toldData{g, unit, digits, card}, nil
}

// A guess may be kept on a phone so long until it counts for now instead.
const guessAge = 60 * 24 * time.Hour

// guess keeps one. What was true is looked up here and not taken from the phone.
func (s *Server) guess(w http.ResponseWriter, r *http.Request, who account.Session) error {
	card, err := s.card(r.Context(), r.PostFormValue("card"))
	if err != nil {
		return err
	}
	q, asked := card.question(r.PostFormValue("measure"))
	value, well := guessed(q, r.PostFormValue("guess"))
	token := r.PostFormValue("token")
	if !asked || !well || token == "" || len(token) > 64 {
		return problem(http.StatusUnprocessableEntity, "eye-title", "eye-number")
	}
	err = s.Folder.Book().AddGuess(r.Context(), eye.Guess{ID: token, By: person(who), Card: card.ID, Kind: eye.Kind{Fish: card.Fish, Measure: q.Measure.Key},
		Guess: value, Truth: q.Truth, U: q.U, Within: q.Within, At: guessedAt(r.PostFormValue("at"), time.Now())})
	if err != nil {
		return err
	}
	return redirect(w, r, "/eye?told="+token)
}

// guessed reads a number as people write it; of a yes or no only these.
func guessed(q eye.Question, text string) (v float64, ok bool) {
	v = textfile.Number(text)
	switch {
	case q.Measure == piece.Cover:
		return v, v == 0 || v == 1
	}
	return v, v > 0 && v < 1000
}

// guessedAt is when a phone says that a guess was made (ms since 1970), if that can be.
func guessedAt(text string, now time.Time) time.Time {
	ms, err := strconv.ParseInt(text, 10, 64)
	at := time.UnixMilli(ms)
	if err != nil || at.After(now) || now.Sub(at) > guessAge {
		return now
	}
	return at
}

// eyePicture is a card's, for browsers without script.
func (s *Server) eyePicture(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	card, err := s.card(r.Context(), r.PathValue("id"))
	return sendJPEG(w, card.Picture, err)
}

// deckData is what a phone takes along to train without the server.
type deckData struct {
	Cards []deckCard  `json:"cards"`
	Past  []deckGuess `json:"past"` // oldest first: what comes next follows from it
}

type deckCard struct {
	ID       string         `json:"id"`
	Fish     string         `json:"fish"` // as the table has it
	Says     string         `json:"says"` // in a language of people
	Lang     string         `json:"lang"` // which it is
	Rendered bool           `json:"rendered"`
	Width    float64        `json:"width"` // mm
	Height   float64        `json:"height"`
	Picture  []byte         `json:"picture"` // JPEG in base64
	Asks     []deckQuestion `json:"asks"`
}

type deckQuestion struct {
	Measure string  `json:"measure"`
	Truth   float64 `json:"truth"`
	U       float64 `json:"u"`
	Within  float64 `json:"within"`
	Digits  int     `json:"digits"`
}

type deckGuess struct {
	Fish    string `json:"fish"`
	Measure string `json:"measure"`
	Right   bool   `json:"right"`
	At      int64  `json:"at"` // ms since 1970
}

func (s *Server) eyeDeck(w http.ResponseWriter, r *http.Request, who account.Session) error {
	cards, err := s.deck(r.Context())
	if err != nil {
		return err
	}
	past, err := s.guesses(r.Context(), who)
	if err != nil {
		return err
	}
	l := s.language(r)
	name := fish(l)
	var out deckData
	for _, c := range cards {
		d := deckCard{ID: c.ID, Fish: c.Fish, Rendered: c.Rendered, Width: c.Width, Height: c.Height, Picture: c.Picture}
		if c.Fish != "" {
			d.Says, d.Lang = name(c.Fish).Name, name(c.Fish).Lang
		}
		for _, q := range c.Questions {
			d.Asks = append(d.Asks, deckQuestion{q.Measure.Key, q.Truth, q.U, q.Within, q.Measure.Digits})
		}
		out.Cards = append(out.Cards, d)
	}
	for _, g := range past {
		out.Past = append(out.Past, deckGuess{g.Fish, g.Measure, g.Right(), g.At.UnixMilli()})
	}
	w.Header().Set("Content-Type", "application/json")
	if err := json.NewEncoder(w).Encode(out); err != nil && r.Context().Err() == nil {
		s.Log.ErrorContext(r.Context(), "send the slices to guess", "err", err)
	}
	return nil
}
