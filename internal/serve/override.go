package serve

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"netagauge/internal/core/piece"
	"netagauge/internal/keep/account"
)

// decideData fills the form by which an instructor decides about a slice.
type decideData struct {
	Shot   string
	Number int
	Undo   string // kind that takes back what was decided; empty where nothing was
	Kinds  []kindData
}

// kindData is a choice, with the key of its words.
type kindData struct{ Kind, Key string }

// decideOf are the choices about a piece.
func decideOf(shot string, p pieceData) *decideData {
	out := &decideData{Shot: shot, Number: p.Number}
	if p.Override != nil {
		out.Undo = piece.AsMeasured
	}
	if p.State == piece.Measured {
		out.Kinds = []kindData{{piece.SaidGood, "override-good"}, {piece.SaidAgain, "override-again"}}
	} else {
		out.Kinds = []kindData{{piece.CountIt, "override-count"}}
	}
	out.Kinds = append(out.Kinds, kindData{piece.NotASlice, "override-not"})
	return out
}

// maxRemark is how long a remark may be, in letters.
const maxRemark = 200

// override keeps what an instructor decided about one piece, with the reason, or takes
// it back.
func (s *Server) override(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.withResult(r, who)
	if err != nil {
		return err
	}
	kind, reason := r.PostFormValue("kind"), strings.TrimSpace(r.PostFormValue("reason"))
	report, err := s.Folder.Book().Report(r.Context(), x.Result)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(report.Pieces, func(p piece.Piece) bool { return strconv.Itoa(p.Number) == r.PostFormValue("piece") })
	undo := kind == piece.AsMeasured
	if i < 0 || !undo && (reason == "" || utf8.RuneCountInString(reason) > maxRemark || !decidable(report.Pieces[i], kind)) {
		return problem(http.StatusUnprocessableEntity, "not-saved", "override-missing")
	}
	if undo {
		reason = ""
	}
	p := report.Pieces[i]
	err = s.Folder.Book().Override(r.Context(), x.Hash, piece.Override{Piece: p.Number, At: p.Middle(), Kind: kind, Reason: reason, Who: who.Who})
	if err == nil {
		err = s.Folder.Book().SumUpAnew(r.Context(), x.Hash)
	}
	if err != nil {
		return err
	}
	s.stale()
	return redirect(w, r, "/shots/"+x.ID+"/slices/"+strconv.Itoa(p.Number))
}

// decidable reports whether a kind can be said of a piece: what has no numbers is
// neither good nor to be cut again.
func decidable(p piece.Piece, kind string) bool {
	switch kind {
	case piece.SaidGood, piece.SaidAgain:
		return p.State == piece.Measured
	}
	return kind == piece.NotASlice || kind == piece.CountIt
}
