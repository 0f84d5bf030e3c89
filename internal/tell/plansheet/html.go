package plansheet

import (
	_ "embed"
	"html/template"
	"io"
	"sync"

	"netagauge/internal/judge/plan"
)

//go:embed sheet.html
var sheetHTML string

var sheet = sync.OnceValue(func() *template.Template { return template.Must(template.New("sheet").Parse(sheetHTML)) })

// HTML writes the plan as one page that needs no other file and prints well.
func HTML(w io.Writer, p plan.Plan, title string) error {
	all := rows(p)
	return sheet().Execute(w, map[string]any{
		"Title":    title,
		"Intro":    intro(p),
		"Above":    svg(fromAbove(p), "the block from above with every cut"),
		"Side":     svg(fromSide(p), "the near side of the block with every cut"),
		"Header":   all[0],
		"Rows":     all[1:],
		"Summary":  summary(p),
		"Cautions": p.Cautions,
	})
}
