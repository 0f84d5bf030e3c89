package main

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// A day of a school: a task for the class, the teacher's own tray as its reference, and a
// trainee's tray laid over it.
func TestSchoolDay(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	p := newPhone(t)
	link, _ := p.instructorBegins()
	p.signIn("instructor", p.passcode)
	p.setsTask()
	p.ownTray()
	p.signOut()
	p.open(link)
	p.says("Task: salmon, 8 slices")
	p.do("how to pile", chromedp.Click(".piling summary"))
	p.says("the koba down", "Clean hands")
	p.look("tray-task")
	p.take(p.sample("tray-laid.jpg"))
	p.settled()
	p.do("beside the reference", chromedp.Click(".beside summary"), chromedp.WaitVisible(".overlay"))
	p.says("spread ", "the reference")
	p.look("beside")
}

// setsTask makes a task and gives it to the class.
func (p *phone) setsTask() {
	p.Helper()
	p.open("/tasks")
	p.do("a task", chromedp.SetValue("#name", "Eight of salmon"), chromedp.SetValue("#species", "salmon"), chromedp.SetValue("#slices", "8"), chromedp.SetValue("#minutes", "10"),
		chromedp.SetValue("#length", "200"), chromedp.SetValue("#width", "70"), chromedp.SetValue("#height", "25"), chromedp.SetValue("#pile", "5 upright"), chromedp.Click(`form[action="/tasks"] button`), chromedp.WaitReady(`form[action="/tasks/give"]`))
	p.look("tasks")
	p.do("give it", chromedp.Click(`form[action="/tasks/give"] button`), chromedp.WaitVisible("[data-live]"))
	p.says("8 slices from a block of 200 × 70 × 25 mm, within 10 minutes")
}

// ownTray sends the teacher's tray and makes it the reference.
func (p *phone) ownTray() {
	p.Helper()
	p.do("unfold", chromedp.Click(`details:has([action="/class/reference"]) summary`))
	p.look("class-reference")
	p.take(p.sample("tray-a4.jpg"))
	p.settled()
	p.do("the reference", chromedp.Click(`form[action$="/reference"] button`), chromedp.WaitReady(`form[action$="/reference"] button[name=end]`))
	p.says("The reference tray of Monday")
	p.look("reference")
}
