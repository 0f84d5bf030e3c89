package serve

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/keep/signet"
	"netagauge/internal/tell/handout"
)

// another lets a second instructor in.
func (s *site) another(name string) *visitor {
	s.Helper()
	return s.admitted(account.Instructor, name)
}

var autumn = url.Values{"name": {"Autumn"}, "species": {"salmon"}, "thickness": {"4.2"}, "trays": {"2"}, "slices": {"3"}, "minutes": {"30"}, "mark": {"60"}, "who": {"Aoi Test", "Bo Test", "Nobody"}}

// numberOf is a candidate's, as their own page says it.
func numberOf(t *testing.T, v *visitor) string {
	t.Helper()
	m := regexp.MustCompile(`Number (\d{3})<`).FindStringSubmatch(v.get("/exam").body)
	if m == nil {
		t.Fatalf("no number:\n%s", v.get("/exam").body)
	}
	return m[1]
}

// sitting is an exam that has begun, of Aoi and Bo, who have sent a tray each.
type sitting struct {
	everybody
	second  *visitor
	exam    string // page
	aoi, bo string // numbers
}

func newSitting(t *testing.T) sitting {
	e := newEverybody(t)
	got := e.teacher.post("/exams", autumn)
	got.must(e.site, http.StatusSeeOther)
	s := sitting{everybody: e, second: e.another("Sato"), exam: got.header.Get("Location"), aoi: numberOf(t, e.aoi), bo: numberOf(t, e.bo)}
	e.aoi.get("/exam").must(e.site, http.StatusOK, "Wait until the instructor begins")
	e.aoi.send("/exam/trays", map[string]string{"place": "1"}, "a.jpg", freshPhoto()).must(e.site, http.StatusUnprocessableEntity, "has not begun")
	e.teacher.post(s.exam+"/begin", nil).must(e.site, http.StatusSeeOther)
	e.aoi.send("/exam/trays", map[string]string{"place": "1"}, "a.jpg", freshPhoto()).must(e.site, http.StatusSeeOther)
	e.bo.send("/exam/trays", map[string]string{"place": "1"}, "b.jpg", freshPhoto()).must(e.site, http.StatusSeeOther)
	e.teacher.post(s.exam+"/close", nil).must(e.site, http.StatusConflict, "2 photos are still being measured")
	e.measure(madeUp)
	return s
}

// says judges a tray whole.
func (s sitting) says(v *visitor, number string, words ...string) answer {
	page := fmt.Sprintf("%s/trays/%s/1", s.exam, number)
	body := v.get(page).body
	photo := regexp.MustCompile(`name="photo" value="([^"]+)"`).FindStringSubmatch(body)
	if photo == nil {
		s.Fatalf("%s:\n%s", page, body)
	}
	form := url.Values{"photo": {photo[1]}}
	for i, w := range words {
		form.Set(fmt.Sprint("piece-", i+1), w)
	}
	return v.post(page, form)
}

// An exam from its task to the signed paper, under numbers: nobody sees a name, a
// measurement or the other instructor's word before it is closed.
func TestExam(t *testing.T) {
	s := newSitting(t)
	page := s.teacher.get(s.exam)
	page.must(s.site, http.StatusOK, "Number "+s.aoi, "Number "+s.bo, "Photos until", "sealed as")
	page.lacks(s.site, "Aoi Test", "Bo Test")
	tray := s.exam + "/trays/" + s.aoi + "/1"
	s.says(s.second, s.aoi, "said-good", "said-again", "not-a-slice").must(s.site, http.StatusSeeOther)
	judging := s.teacher.get(tray)
	judging.must(s.site, http.StatusOK, "Piece 1", "Piece 3", "<svg", tray+"/view")
	judging.lacks(s.site, "Aoi", "checked", "too long", "Measured", "a.jpg")
	s.teacher.get(tray+"/view?w=1170").must(s.site, http.StatusOK)
	s.says(s.teacher, s.aoi, "said-good", "said-again").must(s.site, http.StatusConflict, "Say of every piece")
	s.says(s.teacher, s.aoi, "said-good", "said-good", "not-a-slice").must(s.site, http.StatusSeeOther)
	s.teacher.get(tray).must(s.site, http.StatusOK, "checked")
	s.says(s.another("Ueda"), s.aoi, "said-good", "said-good", "said-good").must(s.site, http.StatusConflict, "two others")
	s.teacher.get(s.exam+"/record.json").must(s.site, http.StatusNotFound)
	s.teacher.get(s.exam+"/certificates/"+s.aoi).must(s.site, http.StatusNotFound)
	s.everybody.aoi.get("/exam").must(s.site, http.StatusOK, "received and whole", "nothing yet")
	s.everybody.aoi.get("/exam").lacks(s.site, "too long", "Cut it again")
	s.everybody.aoi.get("/exam/certificate.pdf").must(s.site, http.StatusNotFound)

	s.teacher.get(s.exam+"/close").must(s.site, http.StatusOK, "1 tray was not judged by both")
	s.teacher.made(s.exam+"/close", nil).must(s.site, http.StatusOK, "Aoi Test", "Bo Test", "kappa", "no legal meaning")
	// Of six slices Aoi has one: piece 1 by both, piece 2 by the measurement not, piece 3
	// by both no slice, four that are not there.
	s.teacher.get(s.exam).must(s.site, http.StatusOK, "<td>1/6</td>", "Not passed")
	s.teacher.get(tray).must(s.site, http.StatusOK, "Counts as", "Measured", "Cut it again")
	s.everybody.aoi.get("/exam").must(s.site, http.StatusOK, "Not passed", "1 of 6 slices are good: 17 %", "licenses nobody")
	s.everybody.aoi.send("/exam/trays", map[string]string{"place": "2"}, "a.jpg", freshPhoto()).must(s.site, http.StatusUnprocessableEntity, "closed")
	s.says(s.teacher, s.aoi, "said-good", "said-good", "said-good").must(s.site, http.StatusConflict, "closed")
}

// The pages of an exam, open and closed, are whole in every language.
func TestExamPagesAreWhole(t *testing.T) {
	s := newSitting(t)
	for _, closed := range []bool{false, true} {
		if closed {
			s.says(s.teacher, s.aoi, "said-good", "said-again", "said-good").must(s.site, http.StatusSeeOther)
			s.teacher.post(s.exam+"/close", nil).must(s.site, http.StatusSeeOther)
		}
		for _, l := range phrase.Languages() {
			for v, paths := range map[*visitor][]string{s.teacher: {"/exams", s.exam, s.exam + "/trays/" + s.aoi + "/1", s.exam + "/close"}, s.everybody.aoi: {"/exam"}} {
				v.header = http.Header{"Accept-Language": {l.Tag()}}
				for _, path := range paths {
					got := v.get(path)
					got.must(s.site, http.StatusOK)
					checkMarkup(t, path, l, got.body)
				}
			}
		}
		s.teacher.header, s.everybody.aoi.header = http.Header{}, http.Header{}
	}
}

// A candidate's certificate is signed by the folder's key, and holds against the record
// that is given out.
func TestExamCertificate(t *testing.T) {
	s := newSitting(t)
	s.teacher.post(s.exam+"/close", nil).must(s.site, http.StatusSeeOther)
	own, theirs := s.everybody.aoi.get("/exam/certificate.pdf"), s.teacher.get(s.exam+"/certificates/"+s.aoi)
	if own.body != theirs.body || own.header.Get("Content-Type") != "application/pdf" {
		t.Error("the candidate and the instructor get different papers")
	}
	content, by, err := signet.Signed([]byte(own.body))
	fatal.If(t, err)
	var record []exam.Entry
	fatal.If(t, json.Unmarshal([]byte(s.teacher.get(s.exam+"/record.json").body), &record))
	e, err := exam.Read(record)
	if err != nil || e.Closing == nil || e.Closing.Key != by {
		t.Fatalf("%v; the paper is signed by %s", err, by)
	}
	stated, found := handout.StatedIn(content)
	if !found || stated.Head != record[len(record)-1].Hash || fmt.Sprint(stated.Number) != s.aoi || stated.Exam != "Autumn" {
		t.Errorf("it states %+v", stated)
	}
	path := filepath.Join(s.folder.Dir(), settings.Signet)
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info, err)
	}
	os.Remove(path)
	s.everybody.aoi.get("/exam/certificate.pdf").must(s.site, http.StatusInternalServerError)
	if !strings.Contains(s.said.String(), "is not the key that the exam") {
		t.Errorf("the log says %q", s.said)
	}
	s.said.Reset()
}

// What a form asks for that cannot be comes back with what was typed; a name that is
// not on the list takes no part.
func TestExamForm(t *testing.T) {
	e := newEverybody(t)
	for field, c := range map[string]struct{ value, says string }{
		"name": {" ", "needs a name"}, "trays": {"0", "trays for each candidate"}, "slices": {"many", "slices for each tray"}, "minutes": {"-1", "minutes"}, "mark": {"100", "pass mark"}, "thickness": {"thick", "thick"},
	} {
		form := url.Values{}
		for k, v := range autumn {
			form[k] = v
		}
		form.Set(field, c.value)
		e.teacher.post("/exams", form).must(e.site, http.StatusUnprocessableEntity, `role="alert"`, c.says, `selected>salmon`)
	}
	e.teacher.post("/exams", url.Values{"name": {"Nobody's"}, "trays": {"1"}, "slices": {"3"}, "minutes": {"20"}, "mark": {"80"}, "who": {"Nobody"}}).must(e.site, http.StatusUnprocessableEntity, "choose who takes the exam")
	e.teacher.post("/exams", url.Values{"name": {"Small"}, "trays": {"１"}, "slices": {"3"}, "minutes": {"２０"}, "mark": {"８０ ％"}, "who": {"Aoi Test"}}).must(e.site, http.StatusSeeOther)
	e.teacher.post("/exams", autumn).must(e.site, http.StatusSeeOther)
	e.teacher.post("/exams", autumn).must(e.site, http.StatusUnprocessableEntity, "take another name")
	e.teacher.get("/exams").must(e.site, http.StatusOK, "Autumn", "Small")
	e.teacher.get("/exams/2").must(e.site, http.StatusOK, "2 candidates")
	for _, path := range []string{"/exams/99", "/exams/x", "/exams/2/trays/100/1", "/exams/2/trays/x/1", "/exams/2/certificates/100"} {
		e.teacher.get(path).must(e.site, http.StatusNotFound)
	}
}

// Photos of an exam are on no other page, and who came by the class code, by which
// anybody may take a name, takes no part.
func TestExamPhotosAreApart(t *testing.T) {
	s := newSitting(t)
	shots, err := s.folder.List(t.Context(), intake.Filter{Kind: intake.Exam})
	if err != nil || len(shots) != 2 {
		t.Fatal(len(shots), err)
	}
	for _, x := range shots {
		for name, v := range map[string]*visitor{"instructor": s.teacher, "Aoi": s.everybody.aoi, "chef": s.chef} {
			for _, path := range []string{"", "/view", "/picture", "/slices/1", "/second"} {
				if got := v.get("/shots/" + x.ID + path); got.status != http.StatusNotFound {
					t.Errorf("%s gets %d at a photo of the exam, %q", name, got.status, path)
				}
			}
		}
		s.everybody.aoi.get("/past").lacks(s.site, x.ID)
		s.teacher.get("/class?all").lacks(s.site, x.ID)
	}
	s.code.get("/exam").must(s.site, http.StatusOK, "by your own link")
	s.code.get("/exam").lacks(s.site, s.aoi)
	s.code.send("/exam/trays", map[string]string{"place": "1"}, "a.jpg", freshPhoto()).must(s.site, http.StatusNotFound)
	s.code.get("/exam/certificate.pdf").must(s.site, http.StatusNotFound)
	for place, want := range map[string]int{"0": http.StatusNotFound, "3": http.StatusNotFound, "x": http.StatusNotFound} {
		s.everybody.aoi.send("/exam/trays", map[string]string{"place": place}, "a.jpg", freshPhoto()).must(s.site, want)
	}
	e := s.everybody.aoi
	e.send("/exam/trays", map[string]string{"place": "2"}, "a.jpg", freshPhoto()).must(s.site, http.StatusSeeOther)
	s.measure(refusedReport)
	e.get("/exam").must(s.site, http.StatusOK, "No printed mat is in the picture")
}
