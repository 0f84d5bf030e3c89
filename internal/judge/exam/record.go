package exam

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"

	"netagauge/internal/core/phrase"
)

// Entry is an act as it is kept: its text, and the SHA-256 that chains it to all that
// came before it.
type Entry struct {
	Act  string `json:"act"`
	Hash string `json:"hash"`
}

// Chain is the hash of an act's text behind the one before, of which the first has
// none: the SHA-256, in hexadecimal, of that hash, a line feed and the text. Whoever
// holds the last hash, as each certificate does, can tell whether any act before it
// was changed, left out or put in.
func Chain(before, text string) string {
	sum := sha256.Sum256([]byte(before + "\n" + text))
	return hex.EncodeToString(sum[:])
}

// Seal is what the record has in place of a candidate's name: the SHA-256, in
// hexadecimal, of a random salt, a line feed and the name. Once name and salt are
// deleted nobody can tell whose it was, and the record stays whole.
func Seal(salt, name string) string { return Chain(salt, name) }

// Next is the entry of an act behind the one before.
func Next(before string, a Act) (Entry, error) {
	text, err := json.Marshal(a)
	if err != nil {
		return Entry{}, fmt.Errorf("%s: %w", a.Kind, err)
	}
	return Entry{string(text), Chain(before, string(text))}, nil
}

// Acts are those of a record, whose chain and texts must be whole: the error names the
// first that is not.
func Acts(record []Entry) ([]Act, error) {
	var out []Act
	before := ""
	for i, e := range record {
		if Chain(before, e.Act) != e.Hash {
			return nil, phrase.Wrong("exam-act-changed", i+1)
		}
		var a Act
		read := json.NewDecoder(bytes.NewReader([]byte(e.Act)))
		read.DisallowUnknownFields()
		if err := read.Decode(&a); err != nil {
			return nil, phrase.Because(err, "exam-act", i+1)
		}
		out, before = append(out, a), e.Hash
	}
	return out, nil
}

// WriteRecord writes a record as it is given out: JSON, an entry a line or two.
func WriteRecord(w io.Writer, record []Entry) error {
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false)
	out.SetIndent("", " ")
	return out.Encode(record)
}

// Read is the exam of a record that is whole.
func Read(record []Entry) (*Exam, error) {
	acts, err := Acts(record)
	if err != nil {
		return nil, err
	}
	return Of(acts)
}
