package serve

import (
	"fmt"
	"html/template"
)

// icons are drawn in a square of 24, by one line.
var icons = map[string]string{
	"camera": "M3 7h4l2-3h6l2 3h4v13H3Z M12 17a4 4 0 1 0 0-8 4 4 0 0 0 0 8Z",
	"back":   "M15 4 7 12l8 8", "next": "M9 4l8 8-8 8", "close": "M6 6l12 12 M18 6 6 18",
	"again": "M5 5v5h5 M5.6 10A8 8 0 1 1 4 14", "send": "M12 20V5 M5 12l7-7 7 7",
	"phone": "M7 2h10v20H7Z M11 18.5h2", "menu": "M4 7h16 M4 12h16 M4 17h16",
}

// icon stands beside words or under a label, never alone for them.
func icon(name string) template.HTML {
	return template.HTML(`<svg class="icon" viewBox="0 0 24 24" aria-hidden="true"><path d="` + icons[name] + `"/></svg>`)
}

// marks are those of the verdicts: a circle lies still, a lozenge stands on its tip,
// a square has lost a corner.
var marks = map[string]string{
	"good":  `<circle cx="12" cy="12" r="10.5"/>`,
	"close": `<path d="M12 .6 23.4 12 12 23.4.6 12Z"/>`,
	"again": `<path d="M2 2h13l7 7v13H2Z"/>`,
	"none":  `<path class="ask" d="M8 9a4 4 0 1 1 5.6 3.7Q12 13.6 12 16M12 19.4v.4"/>`,
}

// mark is that of a verdict, by the style's class.
func mark(class string) template.HTML {
	if marks[class] == "" {
		return ""
	}
	return template.HTML(fmt.Sprintf(`<svg class="mark %s" viewBox="0 0 24 24" aria-hidden="true">%s</svg>`, class, marks[class]))
}
