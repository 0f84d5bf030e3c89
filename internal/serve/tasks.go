package serve

import (
	"context"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/task"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
	"netagauge/internal/tell/lesson"
)

// assignments are the pages of what a class is given to do.
func (s *Server) assignments(m *http.ServeMux) {
	teacher := s.only(account.Instructor)
	m.Handle("GET /tasks", teacher(s.tasks))
	m.Handle("POST /tasks", teacher(s.saveTask))
	m.Handle("POST /tasks/drop", teacher(s.dropTask))
	m.Handle("POST /tasks/give", teacher(s.giveTask))
	m.Handle("POST /class/reference", teacher(s.sendReference))
	m.Handle("POST /shots/{id}/reference", teacher(s.setReference))
}

// taskData is a task with the plan of its block.
type taskData struct {
	task.Task
	Says  phrase.Text
	Plan  string // address; empty without a block
	Sheet string // of the plan to print
	How   *pileData
}

// pileData is how slices are piled; nil where they are not.
type pileData struct {
	Drawing template.HTML
	Steps   []string
}

func taskDataOf(l lang, t task.Task) taskData {
	d := taskData{Task: t, Says: t.Says()}
	if t.PileOf > 0 {
		key := "pile-" + string(t.Pile)
		d.How = &pileData{lesson.Drawing(l.Word(key+"-alt"), key), []string{l.Word("pile-1"), l.Word(key+"-2", t.PileOf), l.Word("pile-3")}}
	}
	if t.Block.Told() {
		q := url.Values{"length": {trimmed(t.Block.Length)}, "width": {trimmed(t.Block.Width)}, "height": {trimmed(t.Block.Height)}, "species": {t.Species}}.Encode()
		d.Plan, d.Sheet = "/plan?"+q, "/plan/sheet.pdf?"+q
	}
	return d
}

// tasksData fills the page of tasks.
type tasksData struct {
	Tasks    []taskData
	Class    string // that is open; empty for none
	Given    string // name of its task
	Species  []string
	Typed    map[string]string // what was wrong with the form
	Complain string
}

func (s *Server) tasks(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	return s.showTasks(w, r, http.StatusOK, tasksData{Typed: map[string]string{}})
}

func (s *Server) showTasks(w http.ResponseWriter, r *http.Request, status int, d tasksData) error {
	d.Species = species()
	all, err := s.Folder.Book().Tasks(r.Context())
	for _, t := range all {
		d.Tasks = append(d.Tasks, taskDataOf(s.language(r), t))
	}
	if err == nil {
		var open intake.Session
		open, _, err = s.openedClass(r.Context())
		d.Class = open.Name
	}
	if err == nil {
		var a book.Assignment
		if a, err = s.Folder.Book().Assignment(r.Context(), d.Class); a.Task != nil {
			d.Given = a.Task.Name
		}
	}
	if err != nil {
		return err
	}
	return s.show(w, r, status, "tasks", page{Title: "tasks-title", Here: "tasks", Data: d})
}

// taskOf is the task of a form, and its fields as they were typed.
func taskOf(r *http.Request) (t task.Task, typed map[string]string) {
	typed = map[string]string{}
	for _, name := range []string{"name", "species", "slices", "minutes", "length", "width", "height", "practice", "pile"} {
		typed[name] = strings.TrimSpace(r.PostFormValue(name))
	}
	number := func(name string) float64 { return typedNumber(typed[name]) }
	by, how, _ := strings.Cut(typed["pile"], " ")
	pileOf, _ := strconv.Atoi(by)
	return task.Task{PileOf: pileOf, Pile: task.Pile(how), Name: typed["name"], Species: typed["species"], Slices: whole(number("slices")), Minutes: number("minutes"), Practice: typed["practice"] != "",
		Block: task.Block{Length: number("length"), Width: number("width"), Height: number("height")}}, typed
}

func (s *Server) saveTask(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	t, typed := taskOf(r)
	if err := t.Check(); err != nil {
		return s.showTasks(w, r, http.StatusUnprocessableEntity, tasksData{Typed: typed, Complain: s.complain(s.language(r), err, "bad-form")})
	}
	if err := s.Folder.Book().SetTask(r.Context(), t); err != nil {
		return err
	}
	return redirect(w, r, "/tasks")
}

func (s *Server) dropTask(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	if err := s.Folder.Book().DropTask(r.Context(), r.PostFormValue("name")); err != nil {
		return err
	}
	return redirect(w, r, "/tasks")
}

// giveTask gives the open class a task: its fish and its standard are the class's from
// now on. Photos so far keep what they were measured with.
func (s *Server) giveTask(w http.ResponseWriter, r *http.Request, _ account.Session) error {
	all, err := s.Folder.Book().Tasks(r.Context())
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(t task.Task) bool { return t.Name == r.PostFormValue("name") })
	open, found, err := s.openedClass(r.Context())
	switch {
	case err != nil:
		return err
	case i < 0:
		return errNotFound
	case !found:
		return problem(http.StatusConflict, "no-class", "no-class-yet")
	}
	house, err := s.house(r.Context())
	if err != nil {
		return err
	}
	open.Ticket.Standard, open.Ticket.Species = all[i].Standard(house), all[i].Species
	if err := s.Folder.SetSession(r.Context(), open); err != nil {
		return err
	}
	if err := s.Folder.Book().Assign(r.Context(), open.Name, all[i]); err != nil {
		return err
	}
	s.stale()
	return redirect(w, r, "/class")
}

// asked is what a class's slices are held against when the house asks this.
func (s *Server) asked(ctx context.Context, class string, house standard.Standard) (standard.Standard, error) {
	a, err := s.Folder.Book().Assignment(ctx, class)
	if err != nil || a.Task == nil {
		return house, err
	}
	return a.Task.Standard(house), nil
}

// given is the task of a class; nil where it has none.
func (s *Server) given(ctx context.Context, l lang, class string) (*taskData, error) {
	a, err := s.Folder.Book().Assignment(ctx, class)
	if err != nil || a.Task == nil {
		return nil, err
	}
	d := taskDataOf(l, *a.Task)
	return &d, nil
}
