package serve

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"time"

	"netagauge/internal/core/piece"
	"netagauge/internal/judge/eye"
	"netagauge/internal/judge/grade"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// firstCookie is there while a trainee wants to guess before a result is shown.
const firstCookie = "guess-first"

// setGuessFirst keeps whether that is so, on the phone.
func (s *Server) setGuessFirst(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	until := time.Unix(1, 0)
	if r.PostFormValue("first") == "yes" {
		until = time.Now().AddDate(1, 0, 0)
	}
	s.cookie(w, r, firstCookie, "yes", until)
	return redirect(w, r, "/eye")
}

func guessesFirst(r *http.Request) bool {
	_, err := r.Cookie(firstCookie)
	return err == nil
}

// firstCard names a tray's own guesses.
func firstCard(shot string) string { return shot + "-" + eye.Again }

// firstData fills the page where a trainee guesses which slices are to be cut again.
type firstData struct {
	Shot    intake.Shot
	Picture *pictureData
	Numbers []int
	Cold    *coldData
}

// toGuess is that page; nil where the result is to be shown at once.
func (s *Server) toGuess(r *http.Request, who account.Session, x intake.Shot) (*firstData, error) {
	if who.Role != account.Trainee || x.Kind != intake.Class || x.State != intake.Measured || !guessesFirst(r) || r.URL.Query().Has("shown") || r.URL.Query().Has("live") {
		return nil, nil
	}
	before, err := s.Folder.Book().GuessesOn(r.Context(), person(who), firstCard(x.ID))
	if err != nil || len(before) > 0 {
		return nil, err
	}
	tray, err := s.trayOf(r.Context(), x)
	if err != nil {
		return nil, err
	}
	out := &firstData{Shot: x, Cold: coldOf(x.Received, time.Now())}
	var shapes []pieceData
	for _, slice := range grade.Slices([]grade.Tray{tray}) {
		if slice.State == piece.Measured {
			out.Numbers = append(out.Numbers, slice.Number)
			shapes = append(shapes, pieceData{Piece: slice.Piece, Class: "good"}) // one line for all
		}
	}
	if len(out.Numbers) == 0 {
		return nil, nil
	}
	out.Picture, err = s.pictureOf(r.Context(), x.ID, x.Result, tray.Report, shapes)
	return out, err
}

// guessTray keeps which slices of the own tray a trainee would cut again. One that is
// close may be named or not: it is left out.
func (s *Server) guessTray(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.withResult(r, who)
	if err != nil {
		return err
	}
	tray, err := s.trayOf(r.Context(), x)
	if err != nil {
		return err
	}
	r.ParseForm()
	fish, _ := x.Ticket.Fish()
	for _, slice := range grade.Slices([]grade.Tray{tray}) {
		if slice.State != piece.Measured || slice.Verdict == piece.Unsure {
			continue
		}
		number := strconv.Itoa(slice.Number)
		g := eye.Guess{ID: firstCard(x.ID) + "-" + number, By: person(who), Card: firstCard(x.ID), Kind: eye.Kind{Fish: fish, Measure: eye.Again}, Within: 0.5, At: time.Now()}
		if slice.Verdict == piece.Fail {
			g.Truth = 1
		}
		if slices.Contains(r.PostForm["again"], number) {
			g.Guess = 1
		}
		if err := s.Folder.Book().AddGuess(r.Context(), g); err != nil {
			return err
		}
	}
	return redirect(w, r, "/shots/"+x.ID+"?shown")
}

// guessedData is how the guess about an own tray came out.
type guessedData struct{ Found, Again, Wronged int }

// guessedOf is that of a tray; nil where none was made.
func (s *Server) guessedOf(ctx context.Context, who account.Session, x intake.Shot) (*guessedData, error) {
	if who.Role != account.Trainee {
		return nil, nil
	}
	all, err := s.Folder.Book().GuessesOn(ctx, person(who), firstCard(x.ID))
	if err != nil || len(all) == 0 {
		return nil, err
	}
	var out guessedData
	for _, g := range all {
		switch {
		case g.Truth == 1:
			out.Again++
			if g.Guess == 1 {
				out.Found++
			}
		case g.Guess == 1:
			out.Wronged++
		}
	}
	return &out, nil
}

// coldData is how long a tray has been out of the cold, as far as its photo tells.
type coldData struct{ Minutes int }

// coldShown is how long that is said: a tray of hours ago lies there no more.
const coldShown = 2 * time.Hour

func coldOf(since, now time.Time) *coldData {
	out := now.Sub(since)
	if out < 0 || out > coldShown {
		return nil
	}
	return &coldData{int(out / time.Minute)}
}
