package database

import (
	"database/sql/driver"
	"reflect"
	"strings"
	"unicode/utf8"
)

// Text is a text as it is kept: PostgreSQL takes only UTF-8 without NUL, and what is kept
// does not hang on the engine. U+FFFD stands for anything else.
func Text(s string) string {
	if strings.IndexByte(s, 0) >= 0 {
		s = strings.ReplaceAll(s, "\x00", "\uFFFD")
	}
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\uFFFD")
	}
	return s
}

// plainText makes an argument of a statement a Text, if it is a text.
func plainText(v *driver.NamedValue) {
	switch s := v.Value.(type) {
	case string:
		v.Value = Text(s)
	case []byte, nil, int64, int, float64:
	default:
		if r := reflect.ValueOf(v.Value); r.Kind() == reflect.String {
			v.Value = Text(r.String())
		}
	}
}
