// Package keeping is how long a school or a kitchen keeps what it has: its dates of
// keeping, as they are set, and what is due by them. It deletes nothing itself.
package keeping

import (
	"fmt"
	"time"

	"github.com/pelletier/go-toml/v2"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/textfile"
)

// Rules are the dates of keeping. The zero value keeps everything until somebody
// deletes it.
type Rules struct {
	PhotoDays    int    `toml:"photo_days"`    // a photo is deleted so many days after it came; 0 for never
	ExamMonths   int    `toml:"exam_months"`   // an exam's photos, so many months after they came; 0 for never
	PersonMonths int    `toml:"person_months"` // a trainee's records, so many months after the last tray; 0 for never
	AtOnce       bool   `toml:"at_once"`       // who asks to be deleted is, without an instructor's word
	Since        string `toml:"since"`         // day on which the rules were changed last; they act from the day after the next
}

// Longest and shortest that can be set: a typing mistake must not delete yesterday's
// class. Our settings.
const (
	mostDays   = 3650
	mostMonths = 240
	leastDays  = 2
)

// Parse reads the rules from TOML; no text is no rules.
func Parse(text string) (r Rules, err error) {
	if err := textfile.TOML([]byte(text), &r); err != nil {
		return Rules{}, err
	}
	return r, r.Check()
}

// Check says what is wrong with the rules.
func (r Rules) Check() error {
	if r.PhotoDays < 0 || r.PhotoDays > mostDays || r.PhotoDays > 0 && r.PhotoDays < leastDays {
		return phrase.Wrong("keeping-days", leastDays, mostDays)
	}
	for _, months := range []int{r.ExamMonths, r.PersonMonths} {
		if months < 0 || months > mostMonths {
			return phrase.Wrong("keeping-months", mostMonths)
		}
	}
	if _, err := time.Parse(time.DateOnly, r.Since); r.Since != "" && err != nil {
		return phrase.Wrong("keeping-since")
	}
	return nil
}

// TOML is the rules as Parse reads them.
func (r Rules) TOML() (string, error) {
	text, err := toml.Marshal(r)
	return string(text), err
}

// wording is the number of the words that consent is asked with; new words are put to
// everybody anew.
const wording = 2

// Terms is what a person consents to: the words and the dates of keeping.
func (r Rules) Terms() string {
	return fmt.Sprintf("words %d, photos %d days, records %d months, exams %d months", wording, r.PhotoDays, r.PersonMonths, r.ExamMonths)
}

// Acts reports whether the rules act at a moment: a whole day after they were changed.
func (r Rules) Acts(now time.Time) bool { return !r.From().IsZero() && !now.Before(r.From()) }

// From is when they begin to act; zero where they were never set.
func (r Rules) From() time.Time {
	since, err := time.ParseInLocation(time.DateOnly, r.Since, time.Local)
	if err != nil {
		return time.Time{}
	}
	return since.AddDate(0, 0, 2)
}

// PhotosBefore is before when a photo came that is due at a moment; zero for none.
func (r Rules) PhotosBefore(now time.Time) time.Time {
	if r.PhotoDays == 0 {
		return time.Time{}
	}
	return now.AddDate(0, 0, -r.PhotoDays)
}

// ExamsBefore is the same of an exam's photos.
func (r Rules) ExamsBefore(now time.Time) time.Time { return monthsBefore(now, r.ExamMonths) }

// PeopleBefore is before when the last tray came of a person who is due.
func (r Rules) PeopleBefore(now time.Time) time.Time { return monthsBefore(now, r.PersonMonths) }

func monthsBefore(now time.Time, months int) time.Time {
	if months == 0 {
		return time.Time{}
	}
	return now.AddDate(0, -months, 0)
}
