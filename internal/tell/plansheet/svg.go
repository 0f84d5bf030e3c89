package plansheet

import (
	"fmt"
	"html/template"
	"strings"
)

// svg draws a figure in its own mm, as wide as the page lets it be. Every text
// in it is ours, a number or a fixed word.
func svg(f figure, title string) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="block" viewBox="0 0 %.1f %.1f" width="%.1fmm" role="img" aria-label="%s">`, f.width, f.height, f.width, title)
	for _, l := range f.lines {
		fmt.Fprintf(&b, `<path class="%s" d="`, [...]string{"edge", "blade", "under"}[l.stroke])
		for i, p := range l.points {
			fmt.Fprintf(&b, "%s%.2f %.2f", map[bool]string{true: "M", false: "L"}[i == 0], p.X, p.Y)
		}
		if l.shut {
			b.WriteString("Z")
		}
		b.WriteString(`"/>`)
	}
	for _, t := range f.labels {
		class := t.class()
		if class != "" {
			class = ` class="` + class + `"`
		}
		if t.ring {
			fmt.Fprintf(&b, `<circle class="ring" cx="%.2f" cy="%.2f" r="%g"/>`, t.at.X, t.at.Y, ringRadius)
		}
		fmt.Fprintf(&b, `<text%s x="%.2f" y="%.2f">%s</text>`, class, t.at.X, t.at.Y+1.1, t.text)
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}
