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
const wording = 1

// Terms is what a person consents to: the words and the dates of keeping.
func (r Rules) Terms() string {
	return fmt.Sprintf("words %d, photos %d days, records %d months, exams %d months", wording, r.PhotoDays, r.PersonMonths, r.ExamMonths)
}
