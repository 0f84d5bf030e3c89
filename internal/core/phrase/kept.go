package phrase

import "encoding/json"

// Kept is the text as one line, for a place that keeps it to be said later.
func (t Text) Kept() string {
	if len(t) == 0 {
		return ""
	}
	line, err := json.Marshal(t)
	if err != nil {
		return English().Must(t) // a number that JSON cannot hold
	}
	return string(line)
}

// ReadKept reads what Kept wrote. What older programs kept is a sentence, which
// every language says as it is.
func ReadKept(line string) Text {
	if line == "" {
		return nil
	}
	var t Text
	if err := json.Unmarshal([]byte(line), &t); err != nil || len(t) == 0 || t[0].Key == "" {
		return Named("as-kept", line)
	}
	return t
}
