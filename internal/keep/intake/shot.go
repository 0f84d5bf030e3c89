package intake

import (
	"crypto/rand"
	"encoding/base32"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/ticket"
	"strings"
	"time"
)

// Kind of what a photo is sent to.
type Kind string

const (
	Class Kind = "class"
	Line  Kind = "line"
	Exam  Kind = "exam"
)

// State of a shot. It goes from waiting through measuring to one of the other
// three, and back to waiting when it is asked for anew.
type State string

const (
	Waiting   State = "waiting"
	Measuring State = "measuring"
	Measured  State = "measured"
	Refused   State = "refused" // the photo cannot be trusted; the book says why
	Failed    State = "failed"  // the program could not measure it; there is no result
)

// Codes of why a shot failed. Why a shot was refused has the code of the
// report's first problem.
const (
	CodeStopped = "worker-stopped" // the program stopped over the photo, twice
	CodeSlow    = "too-slow"       // it took longer than allowed, twice
	CodeMistake = "program"        // the program says that it made a mistake
	CodeMissing = "photo-missing"  // the photo is no longer in the folder, or another one
	CodeEntered = "entered"        // what was entered does not fit the tray, which is as it was before, if it was measured; mend it with Again
)

// Session is what photos are sent to: a class on one day, a line, or an exam by the
// name that it has in the book.
type Session struct {
	Kind   Kind
	Name   string
	HeldOn time.Time     // day of a class; others have none
	Ticket ticket.Ticket // what the session's board is held against; its photos start from it
}

// Shot is one photo received, with what was entered beside it.
type Shot struct {
	// The sender fills these in before Receive.
	Owner   string // account that sent it and may see it
	Who     string // name of the trainee, cook or station, for the book; may be empty on a line; the number of a candidate
	Place   int    // of the tray in an exam, from 1; 0 elsewhere
	Kind    Kind
	Session string
	Ticket  ticket.Ticket
	Name    string // the file's own name: to be shown, never opened

	// Receive fills these in.
	Number   int64  // order of receipt; 1 is the first
	ID       string // 26 letters and digits that cannot be guessed
	Format   string // jpg, png or heic, by the content
	Bytes    int64
	Hash     string    // SHA-256 of the content, as in the book
	Received time.Time // by the clock, which may jump: order by Number

	Dropped time.Time // when the photo was deleted, by the kitchen's rules; zero while it is there

	Second Second // AddSecond fills it in

	// These change as the photo is measured.
	State  State
	Turn   int         // how often it was asked for anew
	Code   string      // why it was refused or failed, in one word
	Why    phrase.Text // and to a person, where the code does not say it all
	Result int64       // id in the book; 0 when there is none
}

// Done reports whether nothing more will happen to the shot by itself.
func (s Shot) Done() bool { return s.State != Waiting && s.State != Measuring }

// file is the photo's name in the photos folder.
func (s Shot) file() string { return s.ID + "." + s.Format }

// newID is 128 random bits in base 32, in lower case.
func newID() string {
	var b [16]byte
	rand.Read(b[:]) // never fails
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))
}
