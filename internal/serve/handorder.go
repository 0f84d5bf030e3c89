package serve

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/core/textfile"
	"netagauge/internal/keep/account"
)

func joined(numbers []int) string {
	out := make([]string, len(numbers))
	for i, n := range numbers {
		out[i] = strconv.Itoa(n)
	}
	return strings.Join(out, ", ")
}

// inOrder are slices in the order in which they were cut: as numbered, or by numbers.
func inOrder(pieces []piece.Piece, order []int) (out []piece.Piece) {
	if len(order) == 0 {
		for _, p := range pieces {
			if p.State != piece.Foreign {
				out = append(out, p)
			}
		}
		return out
	}
	for _, n := range order {
		if i := slices.IndexFunc(pieces, func(p piece.Piece) bool { return p.Number == n }); i >= 0 {
			out = append(out, pieces[i])
		}
	}
	return out
}

// tellOrder keeps the order in which the slices of a tray were cut.
func (s *Server) tellOrder(w http.ResponseWriter, r *http.Request, who account.Session) error {
	x, err := s.withResult(r, who)
	if err != nil {
		return err
	}
	report, err := s.Folder.Book().Report(r.Context(), x.Result)
	if err != nil {
		return err
	}
	order, err := parseOrder(r.PostFormValue("order"), report.Pieces)
	if err != nil {
		return inWords(s.language(r), http.StatusUnprocessableEntity, "not-saved", err)
	}
	if err := s.Folder.Book().TellOrder(r.Context(), x.Hash, order, nameOf(who)); err != nil {
		return err
	}
	return redirect(w, r, "/shots/"+x.ID)
}

// parseOrder reads numbers of slices, each of them once and none left out; nothing is
// the order in which they are numbered.
func parseOrder(text string, pieces []piece.Piece) ([]int, error) {
	var order []int
	for _, f := range strings.FieldsFunc(strings.ReplaceAll(textfile.Decimal(text), ".", " "), func(r rune) bool { return r == ',' || r == ' ' }) {
		n, err := strconv.Atoi(f)
		there := slices.ContainsFunc(pieces, func(p piece.Piece) bool { return p.Number == n && p.State != piece.Foreign })
		if err != nil || !there || slices.Contains(order, n) {
			return nil, phrase.Wrong("hand-order-wrong")
		}
		order = append(order, n)
	}
	if len(order) > 0 && len(order) < len(inOrder(pieces, nil)) {
		return nil, phrase.Wrong("hand-order-wrong")
	}
	return order, nil
}
