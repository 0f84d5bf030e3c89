package book

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"netagauge/internal/core/phrase"
	"netagauge/internal/keep/database"
)

// free are the columns of free text, in which people may name each other.
var free = []column{{"override", "reason"}, {"remark", "remark"}, {"block", "remark"}, {"handover", "remark"},
	{"entry", "file"}, {"spot_check", "file"}}

// Unnamed stands where a name stood.
const Unnamed = "…"

// Unname is a text without a name, wherever that is a word of its own: Bo is not in
// Bora. In scripts that write words together every one counts. A name of a single
// letter cannot be told from other words and is left.
func Unname(text, name string) string {
	if utf8.RuneCountInString(name) < 2 {
		return text
	}
	found := regexp.MustCompile(`(?i)` + regexp.QuoteMeta(name))
	var out strings.Builder
	last := 0
	for _, at := range found.FindAllStringIndex(text, -1) {
		before, _ := utf8.DecodeLastRuneInString(text[:at[0]])
		first, _ := utf8.DecodeRuneInString(text[at[0]:])
		end, _ := utf8.DecodeLastRuneInString(text[:at[1]])
		after, _ := utf8.DecodeRuneInString(text[at[1]:])
		if joined(before, first) || joined(end, after) {
			continue
		}
		out.WriteString(text[last:at[0]] + Unnamed)
		last = at[1]
	}
	return out.String() + text[last:]
}

// joined reports whether two letters beside each other are of one word.
func joined(a, b rune) bool { return spaced(a) && spaced(b) }

// spaced are letters and digits of scripts that part words by spaces.
func spaced(r rune) bool {
	return (unicode.IsLetter(r) || unicode.IsDigit(r)) && !unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Thai)
}

// texts takes the name out of what stays and counts the rows.
func (f *forgetting) texts() (rows int, err error) {
	plain := func(text string) string { return Unname(text, f.Name) }
	for _, c := range free {
		n, err := f.rewrite(c, plain)
		if err != nil {
			return 0, err
		}
		rows += n
	}
	n, err := f.rewrite(column{"handover", "summary"}, func(text string) string { return unnameSaid(text, plain) })
	if err != nil {
		return 0, err
	}
	cut, err := f.profiles()
	return rows + n + cut, err
}

// rewrite changes a column where it has the name.
func (f *forgetting) rewrite(c column, to func(string) string) (n int, err error) {
	all, err := having[int64](f, c, "id")
	for id, text := range all {
		if now := to(text); now != text {
			if _, err := f.counted(`UPDATE `+c.table+` SET `+c.name+` = $1 WHERE id = $2`, now, id); err != nil {
				return 0, err
			}
			n++
		}
	}
	return n, err
}

// having are the texts of a column that may have the name, by key. Engines differ in
// the letters that they know in capitals, so that it is looked for as it is, too.
func having[K comparable](f *forgetting, c column, key string) (map[K]string, error) {
	return database.Pairs[K, string](f.tx.QueryContext(f.ctx, `SELECT `+key+`, `+c.name+` FROM `+c.table+` WHERE replace(lower(`+c.name+`), $1, '') <> lower(`+c.name+`) OR replace(`+c.name+`, $2, '') <> `+c.name,
		strings.ToLower(f.Name), f.Name))
}

// unnameSaid takes the name out of the names of sentences.
func unnameSaid(text string, plain func(string) string) string {
	var said []phrase.Text
	if json.Unmarshal([]byte(text), &said) != nil {
		return text
	}
	for _, t := range said {
		for _, part := range t {
			for i, n := range part.Names {
				part.Names[i] = plain(n)
			}
		}
	}
	out, err := json.Marshal(said)
	if err != nil {
		return text
	}
	return string(out)
}

// profiles takes the name out of tickets that weigh by a cutter's profile, and out of
// the reports that say so; those of exams are sealed and stay.
func (f *forgetting) profiles() (n int, err error) {
	all, err := having[string](f, column{"ticket", "json"}, "hash")
	for hash, text := range all {
		if f.sealed[hash] {
			continue
		}
		now := inside(text, func(t map[string]any) bool {
			p, _ := t["Profile"].(map[string]any)
			if p == nil || p["Cutter"] != f.Name {
				return false
			}
			p["Cutter"] = Unnamed
			return true
		})
		if now == text {
			continue
		}
		if _, err := f.counted(`UPDATE ticket SET json = $1 WHERE hash = $2`, now, hash); err != nil {
			return 0, err
		}
		rested, err := f.rested(hash)
		if err != nil {
			return 0, err
		}
		n += 1 + rested
	}
	return n, err
}

// rested rewrites what the reports by a ticket rest on.
func (f *forgetting) rested(ticket string) (n int, err error) {
	ids, err := database.All[int64](f.tx.QueryContext(f.ctx, `SELECT id FROM result WHERE ticket_hash = $1`, ticket))
	if err != nil {
		return 0, err
	}
	for _, id := range ids {
		var text string
		if err := f.tx.QueryRowContext(f.ctx, `SELECT report FROM result WHERE id = $1`, id).Scan(&text); err != nil {
			return 0, err
		}
		now := inside(text, func(r map[string]any) bool {
			r["rests_on"] = walk(r["rests_on"], func(s string) string { return Unname(s, f.Name) })
			return true
		})
		if _, err := f.counted(`UPDATE result SET report = $1 WHERE id = $2`, now, id); err != nil {
			return 0, err
		}
		n++
	}
	return n, nil
}

// inside changes a JSON object, with every number as it was written.
func inside(text string, change func(map[string]any) bool) string {
	read := json.NewDecoder(strings.NewReader(text))
	read.UseNumber()
	var object map[string]any
	if read.Decode(&object) != nil || !change(object) {
		return text
	}
	var out bytes.Buffer
	if json.NewEncoder(&out).Encode(object) != nil {
		return text
	}
	return strings.TrimSuffix(out.String(), "\n")
}

// walk changes every text inside a value of JSON.
func walk(v any, change func(string) string) any {
	switch v := v.(type) {
	case string:
		return change(v)
	case []any:
		for i := range v {
			v[i] = walk(v[i], change)
		}
	case map[string]any:
		for k := range v {
			v[k] = walk(v[k], change)
		}
	}
	return v
}
