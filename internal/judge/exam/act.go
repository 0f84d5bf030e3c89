// Package exam is an examination of the hand: a fixed task, several trays of each
// candidate, judged under numbers by two instructors each by themselves, and a result
// with its interval. An exam is the row of acts that were done, in their order, and
// nothing else: whoever has the acts has the exam, and comes to the same result. Names
// are not in them. Shares are from 0 to 1, times UTC. It keeps nothing, measures
// nothing and licenses nobody: what passes is the school's to say.
package exam

import (
	"time"

	"netagauge/internal/core/piece"
)

// Kinds of act.
const (
	SetUp   = "set-up"  // the task is fixed
	Entered = "entered" // a candidate has a number
	Begun   = "begun"   // the minutes run
	Sent    = "sent"    // a tray was photographed and measured
	Judged  = "judged"  // an instructor has spoken about every piece of a tray
	Allowed = "allowed" // a tray that came late counts all the same
	Closed  = "closed"  // the results stand
)

// Act is one thing done. Its JSON is kept for good: a new field is left out of it
// while it is empty.
type Act struct {
	Kind string    `json:"kind"`
	At   time.Time `json:"at"`
	By   string    `json:"by,omitempty"` // the instructor; empty where the program or a candidate did it

	Task   *Task          `json:"task,omitempty"`
	Number int            `json:"number,omitempty"` // the candidate
	Sealed string         `json:"sealed,omitempty"` // SHA-256 that the candidate's name can be held against, see Seal
	Tray   *Tray          `json:"tray,omitempty"`
	Place  int            `json:"place,omitempty"`  // of the tray judged or allowed
	Photo  string         `json:"photo,omitempty"`  // which of that place's photos was judged
	Words  map[int]string `json:"words,omitempty"`  // by piece: piece.SaidGood, SaidAgain or NotASlice
	Reason string         `json:"reason,omitempty"` // why a late tray counts
	Result *Closing       `json:"result,omitempty"`
}

// Task is what every candidate does. Ticket is the hash of what the trays are measured
// with and held against: the house standard with it, which nobody changes any more.
type Task struct {
	Name    string  `json:"name"`
	Ticket  string  `json:"ticket"`
	Species string  `json:"species"`
	Trays   int     `json:"trays"`     // of each candidate
	Slices  int     `json:"slices"`    // on each tray; missing ones are not good
	Minutes float64 `json:"minutes"`   // from the beginning to the last photo
	Mark    float64 `json:"pass_mark"` // share of good slices that passes
	Close   bool    `json:"close_is_good"`
}

// Tray is one tray as it was photographed and measured.
type Tray struct {
	Place    int       `json:"place"` // from 1; a later photo of a place counts in place of the one before
	Photo    string    `json:"photo"` // hashes of its photos
	Report   string    `json:"report"`
	Result   int64     `json:"result"` // where the book has the report
	Received time.Time `json:"received"`
	Pieces   []Seen    `json:"pieces"`

	Number  int                       `json:"-"` // of the candidate
	Allowed string                    `json:"-"` // the reason, of one that came late
	Late    bool                      `json:"-"`
	Words   map[string]map[int]string `json:"-"` // by instructor, then by piece
}

// Seen is a piece as it was measured: Slices is how many it stands for, 0 for what is
// no slice, and Verdict is empty for one without numbers.
type Seen struct {
	Piece   int           `json:"piece"`
	Slices  int           `json:"slices"`
	Verdict piece.Verdict `json:"verdict,omitempty"`
}

// SeenIn are the pieces of a report.
func SeenIn(r piece.Tray) []Seen {
	var out []Seen
	for _, p := range r.Pieces {
		s := Seen{Piece: p.Number, Slices: 1, Verdict: p.Verdict}
		switch p.State {
		case piece.Measured:
		case piece.Foreign:
			s = Seen{Piece: p.Number}
		default:
			s = Seen{Piece: p.Number, Slices: r.Hidden(p)}
		}
		out = append(out, s)
	}
	return out
}

// Closing is what an exam came to.
type Closing struct {
	Key       string   `json:"key"` // that certificates are signed with: Ed25519, public, base64
	Results   []Result `json:"results"`
	Design    float64  `json:"design_effect,omitempty"` // of slices on one tray (evidence.Effect); 0 where they count one by one, as they did in older records
	Agreement *Agreed  `json:"agreement,omitempty"`     // nil where no piece was judged by two
	Repeat    *Repeat  `json:"repeatability,omitempty"`
}

// Result is a candidate's: Good of Of slices, the share's exact interval, and the
// confidence with which the share of the hand, not only of these slices, is above the
// pass mark (evidence.Part).
type Result struct {
	Number int     `json:"number"`
	Good   int     `json:"good"`
	Of     int     `json:"of"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Above  float64 `json:"above"`
	Passes bool    `json:"passes"`
}

// Agreed is how far two instructors said the same of the same pieces. Known is false
// where Cohen's kappa says nothing: both said one thing of all.
type Agreed struct {
	Pieces int     `json:"pieces"`
	Same   int     `json:"same"`
	Known  bool    `json:"known"`
	Kappa  float64 `json:"kappa"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
}

// Repeat is how far photos of one untouched tray differed when that was last looked
// at: the repeatability limit of ISO 5725-6, mm.
type Repeat struct {
	DoneAt time.Time `json:"done_at"`
	Photos int       `json:"photos"`
	Slices int       `json:"slices"`
	Length float64   `json:"length_mm"`
	Width  float64   `json:"width_mm"`
}
