package plansheet

import (
	_ "embed"
	"html/template"
	"io"
	"sync"
)

//go:embed sheet.html
var sheetHTML string

var sheet = sync.OnceValue(func() *template.Template { return template.Must(template.New("sheet").Parse(sheetHTML)) })

// HTML writes the plan as one page that needs no other file and prints well.
func (s Sheet) HTML(w io.Writer) error {
	all := s.Rows()
	return sheet().Execute(w, map[string]any{
		"Lang": s.Words.Tag(), "Title": s.Title, "Intro": s.intro(), "Header": all[0], "Rows": all[1:], "Summary": s.Summary(), "Cautions": s.cautions(),
		"AboveText": s.Words.Word("plan-above"), "SideText": s.Words.Word("plan-side"), "CutsText": s.Words.Word("plan-cuts", len(s.Cuts)), "CautionsText": s.Words.Word("cautions"),
		"Above": s.Above(), "Side": svg(s.fromSide(), s.Words.Word("plan-side")),
	})
}

// Above is the drawing of the block from above with every cut.
func (s Sheet) Above() template.HTML { return svg(s.fromAbove(blade), s.Words.Word("plan-picture")) }
