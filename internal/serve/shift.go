package serve

import (
	"context"
	"database/sql"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
)

// shifts are the pages where one shift hands over to the next.
func (s *Server) shifts(m *http.ServeMux) {
	kitchen := s.only(account.Chef, account.Instructor)
	m.Handle("GET /shift", kitchen(s.shift))
	m.Handle("POST /shift", kitchen(s.handOver))
	m.Handle("GET /shift/{id}", kitchen(s.handedOver))
}

// shiftData fills the page of the shift that is on.
type shiftData struct {
	Since   time.Time
	Summary []phrase.Text
	Earlier []book.Handover
}

const (
	shiftLasts    = 16 * time.Hour // at most: what is older was another's
	shownShifts   = 14
	longestAtHand = 1000 // of a remark, bytes
)

func (s *Server) shift(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	data, err := s.shiftNow(r.Context(), time.Now())
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "shift", page{Title: "shift-title", Here: "shift", Data: data})
}

// shiftNow is what there is to hand over: what was checked and which blocks were cut
// since the last time.
func (s *Server) shiftNow(ctx context.Context, now time.Time) (data shiftData, err error) {
	if data.Earlier, err = s.Folder.Book().Handovers(ctx, s.Line, shownShifts); err != nil {
		return data, err
	}
	data.Since = now.Add(-shiftLasts)
	if len(data.Earlier) > 0 && data.Earlier[0].MadeAt.After(data.Since) {
		data.Since = data.Earlier[0].MadeAt
	}
	_, l, err := s.charted(ctx, span{Span: book.Span{Since: data.Since, Last: chartedLast}})
	if err != nil {
		return data, err
	}
	blocks, err := s.shiftBlocks(ctx, data.Since)
	data.Summary = append(l.Shift(), blocks...)
	return data, err
}

// shiftBlocks are the blocks that are open and those that were closed since, a sentence
// each.
func (s *Server) shiftBlocks(ctx context.Context, since time.Time) ([]phrase.Text, error) {
	all, err := s.Folder.Book().Blocks(ctx, shownBlocks)
	if err != nil {
		return nil, err
	}
	var open, closed []phrase.Text
	for _, b := range all {
		name := blockName(b)
		switch {
		case b.Open():
			open = append(open, name.And(phrase.Of("shift-open", b.Grams)))
		case b.ClosedAt.After(since):
			says := name.And(blockData{b}.Got())
			if b.LeftGrams > 0 {
				says = says.And(phrase.Of("shift-left", b.LeftGrams))
			}
			if b.Remark != "" {
				says = says.And(phrase.Named("shift-known", b.Remark))
			}
			closed = append(closed, says)
		}
	}
	return append(closed, open...), nil
}

// blockName says which block it is: its species, and who sold and who cuts it as far as
// that was told.
func blockName(b yield.Block) phrase.Text {
	names := append([]string{b.Species}, told(b.Supplier, b.Cutter)...)
	return phrase.Named([]string{"shift-block", "shift-block-of", "shift-block-of-both"}[len(names)-1], names...)
}

// told are the texts that are there.
func told(texts ...string) (out []string) {
	for _, t := range texts {
		if t != "" {
			out = append(out, t)
		}
	}
	return out
}

// handOver keeps what there is to hand over, with a remark, as it is now.
func (s *Server) handOver(w http.ResponseWriter, r *http.Request, who account.Session) error {
	remark := strings.TrimSpace(r.PostFormValue("remark"))
	if len(remark) > longestAtHand {
		return problem(http.StatusUnprocessableEntity, "shift-title", "shift-long")
	}
	now := time.Now()
	data, err := s.shiftNow(r.Context(), now)
	if err != nil {
		return err
	}
	id, err := s.Folder.Book().AddHandover(r.Context(), book.Handover{Line: s.Line, By: who.Who, Remark: remark, Summary: data.Summary, MadeAt: now})
	if err != nil {
		return err
	}
	return redirect(w, r, "/shift/"+strconv.FormatInt(id, 10))
}

// handedOver shows what was handed over, as one page to print.
func (s *Server) handedOver(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	id, _ := strconv.ParseInt(r.PathValue("id"), 10, 64)
	h, err := s.Folder.Book().Handover(r.Context(), s.Line, id)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return errNotFound
	case err != nil:
		return err
	}
	return s.show(w, r, http.StatusOK, "handed", page{Title: "shift-handed", Here: "shift", Back: "/shift", Data: h})
}
