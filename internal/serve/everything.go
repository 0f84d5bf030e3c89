package serve

import (
	"archive/zip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"slices"
	"time"

	"netagauge/internal/core/table"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// everything is all that is kept of a trainee, for the trainee.
func (s *Server) everything(w http.ResponseWriter, r *http.Request, who account.Session) error {
	if who.Limited { // by the class code nobody sees what was sent before
		return errNotFound
	}
	return s.sendEverything(w, r, who.Who, true)
}

// everythingOf is the same for an instructor, of a name of the roster, without the photos
// as they came: phones write into them what is nobody else's.
func (s *Server) everythingOf(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	roster, err := s.readRoster(r.Context())
	if err != nil {
		return err
	}
	name := r.URL.Query().Get("name")
	if !slices.Contains(roster.Names(), name) {
		return errNotFound
	}
	return s.sendEverything(w, r, name, false)
}

func (s *Server) sendEverything(w http.ResponseWriter, r *http.Request, name string, photos bool) error {
	done, err := s.takeMuch()
	if err != nil {
		return err
	}
	defer done()
	http.NewResponseController(w).SetWriteDeadline(time.Now().Add(sendingTime))
	return s.sendFile(w, r, "everything.zip", "application/zip", func(to io.Writer) error { return s.zipPerson(r.Context(), to, s.language(r), name, photos) })
}

// zipPerson writes a person's results with their pictures, guesses and, if asked for,
// photos; those of a site where the person was before in a folder of its own. What an
// exam keeps is kept under a number, in the record book.
func (s *Server) zipPerson(ctx context.Context, w io.Writer, l lang, name string, photos bool) error {
	z := zip.NewWriter(w)
	if err := s.zipAt(ctx, zipFolder{z, ""}, name, photos, time.Time{}); err != nil {
		return err
	}
	before, err := s.before(ctx, l, name)
	if err != nil {
		return err
	}
	for _, e := range before {
		if err := e.at.zipAt(ctx, zipFolder{z, e.at.Site + "/"}, e.name, photos, e.until); err != nil {
			return err
		}
	}
	return z.Close()
}

// zipFolder is a folder of a ZIP.
type zipFolder struct {
	*zip.Writer
	folder string
}

// Create begins a file in the folder.
func (z zipFolder) Create(name string) (io.Writer, error) { return z.Writer.Create(z.folder + name) }

// zipAt writes what one site has; until is zero for all.
func (s *Server) zipAt(ctx context.Context, z zipFolder, name string, photos bool, until time.Time) error {
	shots, err := s.Folder.List(ctx, intake.Filter{Owner: traineeOwner(name)})
	if err != nil {
		return err
	}
	shots = slices.DeleteFunc(shots, func(x intake.Shot) bool { return !until.IsZero() && x.Received.After(until) })
	if err := s.zipList(ctx, z, name, shots, until); err != nil {
		return err
	}
	for _, x := range shots {
		if photos && x.Dropped.IsZero() {
			if err := s.zipPhotos(ctx, z, x); err != nil {
				return err
			}
		}
		if err := s.zipResult(ctx, z, x); err != nil {
			return err
		}
	}
	return nil
}

// zipList writes the lists: of the trays, and of what was guessed.
func (s *Server) zipList(ctx context.Context, z zipFolder, name string, shots []intake.Shot, until time.Time) error {
	to, err := z.Create("trays.csv")
	if err != nil {
		return err
	}
	trays := table.NewCSV(to)
	trays.Head([]string{"number", "class", "received", "state", "file"})
	for _, x := range shots {
		trays.Row([]any{x.Number, x.Session, x.Received.UTC().Format(time.RFC3339), string(x.State), x.Name})
	}
	if err := trays.Close(); err != nil {
		return err
	}
	if to, err = z.Create("guesses.csv"); err != nil {
		return err
	}
	all, err := s.Folder.Book().Guesses(ctx, name, time.Time{}, -1)
	if err != nil {
		return err
	}
	guesses := table.NewCSV(to)
	guesses.Head([]string{"guessed_at", "fish", "measure", "guess", "truth", "u", "within"})
	for _, g := range all {
		if !until.IsZero() && g.At.After(until) {
			continue
		}
		guesses.Row([]any{g.At.UTC().Format(time.RFC3339), g.Fish, g.Measure, g.Guess, g.Truth, g.U, g.Within})
	}
	return guesses.Close()
}

// stemOf names a tray's files.
func stemOf(x intake.Shot) string { return fmt.Sprintf("%04d", x.Number) }

// zipPhotos writes a tray's photos as they came, but for the place.
func (s *Server) zipPhotos(ctx context.Context, z zipFolder, x intake.Shot) error {
	photo, err := s.Folder.OpenPhoto(ctx, x)
	if err := zipFile(z, "photos/"+stemOf(x)+"."+x.Format, photo, err); err != nil || x.Second.ID == "" {
		return err
	}
	second, err := s.Folder.OpenSecond(ctx, x)
	return zipFile(z, "photos/"+stemOf(x)+".b."+x.Second.Format, second, err)
}

// zipResult writes the result of a tray that was measured, and its picture.
func (s *Server) zipResult(ctx context.Context, z zipFolder, x intake.Shot) error {
	if x.Result == 0 {
		return nil
	}
	report, err := s.Folder.Book().Report(ctx, x.Result)
	if err != nil {
		return err
	}
	text, err := json.MarshalIndent(report, "", " ")
	if err != nil {
		return err
	}
	picture, err := s.Folder.Book().Picture(ctx, x.Result)
	if err != nil {
		return err
	}
	for name, data := range map[string][]byte{"results/" + stemOf(x) + ".json": text, "results/" + stemOf(x) + ".jpg": picture} {
		to, err := z.Create(name)
		if err != nil {
			return err
		}
		if _, err := to.Write(data); err != nil {
			return err
		}
	}
	return nil
}

// zipFile copies an opened file; err is that of opening it.
func zipFile(z zipFolder, name string, from *os.File, err error) error {
	if err != nil {
		return err
	}
	defer from.Close()
	to, err := z.Create(name)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, from)
	return err
}
