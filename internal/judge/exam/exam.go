package exam

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/evidence"
)

// Exam is what the acts so far come to.
type Exam struct {
	Task    Task
	Numbers []int          // of the candidates, lowest first
	Sealed  map[int]string // what their names can be held against
	Trays   []Tray         // that count for their place, by number and place
	Judges  []string       // in the order in which they first spoke, no more than two
	Begun   time.Time      // zero before
	Closed  time.Time      // zero before
	Closing *Closing       // nil before
	acts    int
}

// Of follows a row of acts from its beginning.
func Of(acts []Act) (*Exam, error) {
	e := &Exam{}
	for i, a := range acts {
		if err := e.Do(a); err != nil {
			return nil, phrase.Because(err, "exam-act", i+1)
		}
	}
	return e, nil
}

// judges is how many speak about each tray.
const judges = 2

// What people may run into.
var (
	ErrClosed   = phrase.Wrong("exam-is-closed")
	ErrNotBegun = phrase.Wrong("exam-not-begun")
	errBegun    = phrase.Wrong("exam-has-begun")
	ErrNobody   = phrase.Wrong("exam-nobody")
	errThird    = phrase.Wrong("exam-third")
	errWords    = phrase.Wrong("exam-words")
	errReason   = phrase.Wrong("exam-reason")
	errNewer    = phrase.Wrong("exam-newer")
)

var errOrder = phrase.Wrong("exam-order")

// Do takes in the next act, or says why it cannot follow; then nothing has changed.
func (e *Exam) Do(a Act) error {
	var err error
	switch {
	case e.acts == 0 && a.Kind == SetUp:
		err = e.setUp(a)
	case e.acts == 0 || a.Kind == SetUp:
		err = errOrder
	case !e.Closed.IsZero():
		err = ErrClosed
	case a.Kind == Entered:
		err = e.enter(a)
	case a.Kind == Begun:
		err = e.begin(a)
	case e.Begun.IsZero():
		err = ErrNotBegun
	case a.Kind == Sent:
		err = e.send(a)
	case a.Kind == Judged:
		err = e.judge(a)
	case a.Kind == Allowed:
		err = e.allow(a)
	case a.Kind == Closed:
		err = e.close(a)
	default:
		err = errOrder
	}
	if err == nil {
		e.acts++
	}
	return err
}

// Check says what is wrong with a task, as a person can mend it.
func (t Task) Check() error {
	n := utf8.RuneCountInString(t.Name)
	switch {
	case strings.TrimSpace(t.Name) == "" || n > 60 || strings.ContainsAny(t.Name, "\r\n"):
		return phrase.Wrong("exam-name")
	case t.Trays < 1 || t.Trays > 12 || t.Slices < 1 || t.Slices > 60:
		return phrase.Wrong("exam-trays", 12, 60)
	case !(t.Minutes >= 1 && t.Minutes <= 600):
		return phrase.Wrong("exam-minutes", 600)
	case !(t.Mark > 0 && t.Mark < 1):
		return phrase.Wrong("exam-mark")
	case t.Ticket == "":
		return errOrder
	}
	return nil
}

func (e *Exam) setUp(a Act) error {
	if a.Task == nil {
		return errOrder
	}
	if err := a.Task.Check(); err != nil {
		return err
	}
	e.Task, e.Sealed = *a.Task, map[int]string{}
	return nil
}

func (e *Exam) enter(a Act) error {
	if !e.Begun.IsZero() {
		return errBegun
	}
	if a.Number < 1 || a.Sealed == "" || slices.Contains(e.Numbers, a.Number) {
		return errOrder
	}
	e.Numbers, e.Sealed[a.Number] = append(e.Numbers, a.Number), a.Sealed
	slices.Sort(e.Numbers)
	return nil
}

func (e *Exam) begin(a Act) error {
	switch {
	case !e.Begun.IsZero():
		return errBegun
	case len(e.Numbers) == 0:
		return ErrNobody
	}
	e.Begun = a.At
	return nil
}

// Ends is when the last photo must be there.
func (e *Exam) Ends() time.Time {
	return e.Begun.Add(time.Duration(e.Task.Minutes * float64(time.Minute)))
}

func (e *Exam) send(a Act) error {
	if a.Tray == nil || !slices.Contains(e.Numbers, a.Number) || a.Tray.Place < 1 || a.Tray.Place > e.Task.Trays {
		return errOrder
	}
	t := *a.Tray
	t.Number, t.Words, t.Late = a.Number, map[string]map[int]string{}, t.Received.After(e.Ends())
	i, there := e.find(a.Number, t.Place)
	if there {
		e.Trays[i] = t
	} else {
		e.Trays = slices.Insert(e.Trays, i, t)
	}
	return nil
}

// find is where the tray of a number and place is, or would be.
func (e *Exam) find(number, place int) (int, bool) {
	return slices.BinarySearchFunc(e.Trays, [2]int{number, place}, func(t Tray, want [2]int) int {
		return cmp.Or(cmp.Compare(t.Number, want[0]), cmp.Compare(t.Place, want[1]))
	})
}

// Tray is that of a number and place, if there is one.
func (e *Exam) Tray(number, place int) (Tray, bool) {
	i, there := e.find(number, place)
	if !there {
		return Tray{}, false
	}
	return e.Trays[i], true
}

// MayJudge reports whether an instructor is one of the two, or may become one.
func (e *Exam) MayJudge(who string) bool {
	return slices.Contains(e.Judges, who) || len(e.Judges) < judges
}

func (e *Exam) judge(a Act) error {
	i, there := e.find(a.Number, a.Place)
	switch {
	case !there || a.By == "":
		return errOrder
	case !e.MayJudge(a.By):
		return errThird
	case e.Trays[i].Photo != a.Photo:
		return errNewer
	case len(a.Words) != len(e.Trays[i].Pieces):
		return errWords
	}
	for _, p := range e.Trays[i].Pieces {
		if !slices.Contains(Words, a.Words[p.Piece]) {
			return errWords
		}
	}
	if !slices.Contains(e.Judges, a.By) {
		e.Judges = append(e.Judges, a.By)
	}
	e.Trays[i].Words[a.By] = a.Words
	return nil
}

// Words are what an instructor may say of a piece.
var Words = []string{piece.SaidGood, piece.SaidAgain, piece.NotASlice}

func (e *Exam) allow(a Act) error {
	i, there := e.find(a.Number, a.Place)
	switch {
	case !there || !e.Trays[i].Late:
		return errOrder
	case e.Trays[i].Photo != a.Photo:
		return errNewer
	case strings.TrimSpace(a.Reason) == "" || utf8.RuneCountInString(a.Reason) > 200:
		return errReason
	}
	e.Trays[i].Allowed = a.Reason
	return nil
}

// close takes only the result that the acts come to.
func (e *Exam) close(a Act) error {
	if a.Result == nil {
		return phrase.Wrong("exam-result-changed")
	}
	want := e.Results()
	if a.Result.Design == 0 {
		want = e.resultsBy(evidence.Effect{})
	}
	if !a.Result.same(want) {
		return phrase.Wrong("exam-result-changed")
	}
	e.Closed, e.Closing = a.At, a.Result
	return nil
}

// lastDigits is by how much what is reckoned may differ from one computer, or version of
// a library, to another. It is below every digit that is shown.
const lastDigits = 1e-5

// same compares what is reckoned.
func (c Closing) same(o Closing) bool {
	near := func(a, b float64) bool { return math.Abs(a-b) < lastDigits }
	sameResult := func(a, b Result) bool {
		return a.Number == b.Number && a.Good == b.Good && a.Of == b.Of && a.Passes == b.Passes && near(a.Low, b.Low) && near(a.High, b.High) && near(a.Above, b.Above)
	}
	if !near(c.Design, o.Design) || !slices.EqualFunc(c.Results, o.Results, sameResult) || (c.Agreement == nil) != (o.Agreement == nil) {
		return false
	}
	if c.Agreement == nil {
		return true
	}
	a, b := *c.Agreement, *o.Agreement
	return a.Pieces == b.Pieces && a.Same == b.Same && a.Known == b.Known && near(a.Kappa, b.Kappa) && near(a.Low, b.Low) && near(a.High, b.High)
}
