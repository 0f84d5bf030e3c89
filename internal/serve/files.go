package serve

import (
	"archive/zip"
	"bufio"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"netagauge/internal/core/table"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/board"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/handout"
)

// filesData fills the page of files.
type filesData struct {
	Some    bool // there is something in the class
	Renewal intake.Renewal
}

func (s *Server) files(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	b, found, err := s.openBoard(r.Context())
	data := filesData{Some: found && len(b.Trainees) > 0}
	if err == nil && found {
		data.Renewal, err = s.Folder.Renewal(r.Context(), b.Session)
	}
	if err != nil {
		return err
	}
	p := page{Title: "files-title", Here: "files", Data: data}
	if r.URL.Query().Has("live") {
		return s.live(w, r, "files", false, data)
	}
	if data.Renewal.Going() {
		p.Refresh, p.Live = 5, "/files?live"
	}
	return s.show(w, r, http.StatusOK, "files", p)
}

// files that can be taken along, all made of results: no photo as it came.
var takeAlong = map[string]struct {
	kind string
	fill func(p handout.Papers, w io.Writer) error
}{
	"class.pdf": {"application/pdf", handout.Papers.PDF},
	"class.xlsx": {"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", func(p handout.Papers, w io.Writer) error {
		return table.WriteXLSX(w, table.Rounded(handout.Tables(p.Board))...)
	}},
	"class.zip": {"application/zip", zipped},
}

// wholeBook sends the record book as it is read: it may be larger than the room for
// it here. Trouble on the way breaks the connection off, so that no browser takes
// half a book for a whole one.
func (s *Server) wholeBook(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	done, err := s.takeMuch()
	if err != nil {
		return err
	}
	defer done()
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Disposition", `attachment; filename="book.json"`)
	out := bufio.NewWriterSize(&patient{w, http.NewResponseController(w)}, 1<<16)
	err = s.Folder.Book().ExportJSON(r.Context(), out)
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		if r.Context().Err() == nil {
			s.Log.ErrorContext(r.Context(), "send the book", "err", err)
		}
		panic(http.ErrAbortHandler)
	}
	return nil
}

// takeMuch gives the one place for who takes much along, if it is free.
func (s *Server) takeMuch() (done func(), err error) {
	select {
	case s.export <- struct{}{}:
		return func() { <-s.export }, nil
	default:
		return nil, later(http.StatusServiceUnavailable, "busy", "busy-text", busyWait)
	}
}

// patient gives each part of a long answer as long as a whole short one.
type patient struct {
	http.ResponseWriter
	control *http.ResponseController
}

func (p *patient) Write(b []byte) (int, error) {
	p.control.SetWriteDeadline(time.Now().Add(time.Minute))
	return p.ResponseWriter.Write(b)
}

// renewalWait is when to ask again for files of a class that is being measured anew, s.
const renewalWait = 10

// download writes a file to the disk first, so that one that fails is a page
// that says so and not half a file.
func (s *Server) download(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	name := r.PathValue("name")
	file, ok := takeAlong[name]
	if !ok {
		return errNotFound
	}
	http.NewResponseController(w).SetWriteDeadline(time.Now().Add(sendingTime))
	b, found, err := s.askedBoard(r)
	if err != nil {
		return err
	}
	if !found {
		return problem(http.StatusNotFound, "files-title", "files-none")
	}
	switch renewal, err := s.Folder.Renewal(r.Context(), b.Session); {
	case err != nil:
		return err
	case renewal.Going(): // results by the old and by the new are no one class
		w.Header().Set("Retry-After", strconv.Itoa(renewalWait))
		return said(http.StatusServiceUnavailable, "files-title", s.language(r).Word("renewing-files", renewal.Done, renewal.Of))
	}
	roster, err := s.readRoster(r.Context())
	if err != nil {
		return err
	}
	papers := handout.Papers{Board: b, Words: s.language(r), Pictures: handout.FromBook(r.Context(), s.Folder.Book(), s.language(r), b.Ticket.Standard.Rice)}
	if r.URL.Query().Get("class") == "" { // who should have come to an earlier class is not known
		papers.Absent = b.Missing(roster.Names())
	}
	return s.sendFile(w, r, name, file.kind, func(to io.Writer) error { return file.fill(papers, to) })
}

// sendFile fills a file on the disk and sends it, once it is whole.
func (s *Server) sendFile(w http.ResponseWriter, r *http.Request, name, kind string, fill func(io.Writer) error) error {
	tmp, err := os.CreateTemp("", "netagauge-")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	defer tmp.Close()
	if err := fill(tmp); err != nil {
		return err
	}
	if _, err := tmp.Seek(0, io.SeekStart); err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	io.Copy(w, tmp) // a browser that is gone needs nothing more
	return nil
}

// askedBoard is the board of the class that a request names, or of the open one.
func (s *Server) askedBoard(r *http.Request) (b board.Board, found bool, err error) {
	name := r.URL.Query().Get("class")
	if name == "" {
		return s.openBoard(r.Context())
	}
	of, err := s.Folder.Session(r.Context(), intake.Class, name)
	if errors.Is(err, intake.ErrNoSession) {
		return b, false, nil
	}
	if err == nil {
		b, err = s.boardOf(r, of)
	}
	return b, err == nil, err
}

// zipped is the folder that class --report writes, as one file.
func zipped(p handout.Papers, w io.Writer) error {
	dir, err := os.MkdirTemp("", "netagauge-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	dir = filepath.Join(dir, "class")
	if err := p.Write(dir, false); err != nil {
		return err
	}
	z := zip.NewWriter(w)
	if err := z.AddFS(os.DirFS(dir)); err != nil {
		return err
	}
	return z.Close()
}
