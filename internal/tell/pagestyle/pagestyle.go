// Package pagestyle holds the style sheet that the pages of a check, of a class and of a
// line share: light and dark, for a screen and for paper of any size. It asks for nothing
// from outside.
package pagestyle

import (
	_ "embed"
	"html/template"
)

// CSS is the style sheet, for the inside of a style element.
var CSS = template.CSS(source)

//go:embed style.css
var source string
