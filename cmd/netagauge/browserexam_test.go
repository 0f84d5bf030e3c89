package main

import (
	"bytes"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// fetched is what somebody gets at a path with the link or passcode they have.
func (p *phone) fetched(signIn func(*http.Client), path string) []byte {
	p.Helper()
	jar, _ := cookiejar.New(nil)
	c := &http.Client{Jar: jar}
	signIn(c)
	a, err := c.Get(p.base + path)
	fatal.If(p, err)
	defer a.Body.Close()
	body, err := io.ReadAll(a.Body)
	if err != nil || a.StatusCode != http.StatusOK {
		p.Fatalf("%s: %d, %v", path, a.StatusCode, err)
	}
	return body
}

// judges says good of every piece of the tray in view.
func (p *phone) judges() {
	p.Helper()
	p.do("judge", chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("input[value=said-good]").forEach(r => { r.checked = true; })`),
		click(`form:has(.words) > button`), chromedp.WaitVisible("[data-live]"))
}

// An exam as it is held: sealed, begun, a real photo sent under a number, judged by two
// instructors who see no name, closed; the paper holds against the record, and a paper
// of which one digit was changed does not.
func TestExamInABrowser(t *testing.T) {
	everywhere(t, true, (*phone).examined)
}

func (p *phone) examined() {
	link, _ := p.instructorBegins()
	p.signIn("instructor", p.passcode)
	p.open("/people")
	p.do("a second instructor", unfold("main details:last-of-type summary"), chromedp.SetValue("#name", "Sato"), chromedp.SetValue("#role", "instructor"), click(`form[action="/people/passcodes"] button`), chromedp.WaitVisible(".problem"))
	sato := matched(p.T, `Sato:\s+([a-z0-9-]+)`, p.text())
	p.open("/exams")
	p.lookInBoth("exams")
	p.do("set up", chromedp.SetValue("#name", "Autumn"), chromedp.SetValue("#species", "salmon"), chromedp.SetValue("#trays", "1"), chromedp.SetValue("#slices", "4"), click(`form[action="/exams"] button`), chromedp.WaitVisible(`form[action$="/begin"]`))
	p.lookInBoth("exam-sealed")
	exam, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`location.pathname`))
	fatal.If(p, err)
	p.do("begin", click(`form[action$="/begin"] button`), chromedp.WaitVisible(`a[href$="/close"]`))
	p.signOut()

	p.open(link[strings.Index(link, "/t/"):])
	p.open("/exam")
	p.lookInBoth("exam-candidate")
	number := matched(p.T, `Number (\d{3})`, p.text())
	p.do("send", chromedp.SetUploadFiles("#photo", []string{p.sample("tray-a4.jpg")}), click(`form[action="/exam/trays"] button`))
	for range 1200 { // until the browser has sent it and shows the next page
		if n, err := chromedp.Run(p.ctx, chromedp.Evaluate[int](`document.querySelector("#photo")?.files.length ?? 0`)); err == nil && n == 0 {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	for range 100 {
		if p.open("/exam"); strings.Contains(p.text(), "received and whole") {
			break
		}
		time.Sleep(200 * time.Millisecond)
	}
	p.says("received and whole")
	p.look("exam-candidate-sent")
	p.signOut()

	for _, who := range [][2]string{{"instructor", p.passcode}, {"Sato", sato}} {
		p.signIn(who[0], who[1])
		p.open(exam)
		if text := p.text(); strings.Contains(text, "Aoi") || !strings.Contains(text, "Number "+number) {
			p.Errorf("before the end the page says %s", text)
		}
		p.look("exam-open-" + who[0])
		p.open(exam + "/trays/" + number + "/1")
		p.look("exam-judging-" + who[0])
		p.judges()
		p.says("judged")
		if who[0] == "Sato" {
			p.open(exam + "/close")
			p.lookInBoth("exam-close")
			p.do("close", click(`form[action$="/close"] button`), chromedp.WaitVisible("table"))
			p.says("Aoi Example", "no legal meaning")
			p.lookInBoth("exam-closed")
			p.open(exam + "/trays/" + number + "/1")
			p.lookInBoth("exam-judged")
		}
		p.signOut()
	}
	p.open(link[strings.Index(link, "/t/"):])
	p.open("/exam")
	p.says("of 5 slices are good", "licenses nobody")
	p.lookInBoth("exam-result")
	p.holdsPaper(link, sato, exam)
}

// holdsPaper holds the candidate's paper against the folder and the record given out.
func (p *phone) holdsPaper(link, sato, exam string) {
	p.Helper()
	paper := p.fetched(func(c *http.Client) { c.Get(p.base + link[strings.Index(link, "/t/"):]) }, "/exam/certificate.pdf")
	record := p.fetched(func(c *http.Client) {
		c.PostForm(p.base+"/signin", url.Values{"name": {"Sato"}, "passcode": {sato}})
	}, exam+"/record.json")
	dir := p.TempDir()
	changed := regexp.MustCompile(`/CreationDate \(D:2`).ReplaceAll(paper, []byte("/CreationDate (D:3"))
	if bytes.Equal(changed, paper) {
		p.Fatal("nothing was changed")
	}
	better := bytes.Replace(record, []byte(`\"good\":`), []byte(`\"good\":1`), 1)
	for name, text := range map[string][]byte{"paper.pdf": paper, "changed.pdf": changed, "record.json": record, "better.json": better} {
		fatal.If(p, os.WriteFile(filepath.Join(dir, name), text, 0o600))
	}
	at := func(name string) string { return filepath.Join(dir, name) }
	where := p.record[:2] // the folder, or the database
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{append([]string{"exam", "--check", at("paper.pdf")}, where...), command.ExitPass, "holds: number"},
		{[]string{"exam", "--record", at("record.json"), "--check", at("paper.pdf")}, command.ExitPass, "holds: number"},
		{append([]string{"exam", "--check", at("changed.pdf")}, where...), command.ExitFails, "changed after it was signed"},
		{[]string{"exam", "--record", at("better.json"), "--check", at("paper.pdf")}, command.ExitFails, "does not hold"},
	} {
		var out, errw bytes.Buffer
		if code := run(p.Context(), c.args, &out, &errw); code != c.code || !strings.Contains(out.String(), c.says) {
			p.Errorf("%v: exit code %d, want %d; %s%s", c.args, code, c.code, &out, &errw)
		}
	}
}
