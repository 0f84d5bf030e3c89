package serve

import (
	"encoding/json"
	"net/http"

	"netagauge/internal/keep/account"
)

// recent is a kind of what a form made, for the page that shows it to who made it:
// loading that page anew makes nothing again. It is kept beside the accounts, so that any
// server of the record shows it.
type recent[T any] string

const (
	drawn  recent[[]byte]       = "plan" // picture of one
	sheets recent[[]linkData]   = "links"
	codes  recent[passcodeMade] = "passcode"
	drafts recent[draft]        = "standard" // that is tried

	removed recent[account.Removed] = "passcode removed"
)

// passcodeMade is a passcode just made, shown once.
type passcodeMade struct{ Made, MadeFor string }

func (kind recent[T]) keep(s *Server, r *http.Request, who account.Session, it T) (id string, err error) {
	text, err := json.Marshal(it)
	if err != nil {
		return "", err
	}
	return s.Accounts.Show(r.Context(), string(kind), owner(who), text)
}

// find gives nothing for what is not there any more, or is another's.
func (kind recent[T]) find(s *Server, r *http.Request, who account.Session, id string) (it T, found bool, err error) {
	if id == "" {
		return it, false, nil
	}
	text, found, err := s.Accounts.Shown(r.Context(), string(kind), owner(who), id)
	if err == nil && found {
		err = json.Unmarshal(text, &it)
	}
	return it, found && err == nil, err
}
