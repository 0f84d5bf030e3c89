package main

import (
	"strings"
	"testing"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
)

// A day of a school: a task for the class, the teacher's own tray as its reference, and a
// trainee's tray laid over it.
func TestSchoolDay(t *testing.T) {
	everywhere(t, true, (*phone).schoolDay)
}

func (p *phone) schoolDay() {
	link, chef := p.instructorBegins()
	p.signIn("instructor", p.passcode)
	p.setsTask()
	p.ownTray()
	p.signOut()
	p.open(link)
	p.says("Task: salmon, 8 slices")
	p.do("how to pile", unfold(".piling summary"))
	p.says("the koba down", "Clean hands")
	p.look("tray-task")
	p.take(p.sample("tray-laid.jpg"))
	p.settled()
	p.do("beside the reference", unfold(".beside summary"), chromedp.WaitVisible(".overlay"))
	p.says("spread ", "the reference")
	p.look("beside")
	p.ownHand()
	p.nextClass(link)
	p.handsOver(chef)
}

// ownHand tells the order in which a tray was cut, and sees what drifts along the block.
func (p *phone) ownHand() {
	p.Helper()
	p.open("/hand")
	p.says("Class: Monday", "It takes four trays")
	p.do("unfold a tray", unfold("main details summary"))
	p.look("hand-order")
	p.do("a wrong order", chromedp.SetValue("input[name=order]", "1, 1"), click(`form[action$="/order"] button`), chromedp.WaitVisible(".problem"))
	p.says("every slice of the tray once")
	p.open("/hand")
	p.do("the order", unfold("main details summary"), click(`form[action$="/order"] button`), chromedp.WaitVisible(".verdict"))
	p.open("/hand")
	p.says("order told")
	p.signOut()
}

// nextClass opens another class, in which the same hand cuts again: its page tells what
// has changed, to the trainee and to the instructor.
func (p *phone) nextClass(link string) {
	p.Helper()
	p.signIn("instructor", p.passcode)
	p.do("another class", unfold(`details:has(> form[action="/class"]) > summary`), chromedp.SetValue("#class", "Tuesday"), click(`form[action="/class"] button`), chromedp.WaitNotPresent("ul.list li"))
	p.signOut()
	p.open(link)
	p.take(p.sample("tray-a4.jpg"))
	p.settled()
	p.open("/hand")
	p.says("Class: Tuesday", "Since the class Monday", "slices are good")
	p.lookInBoth("hand")
	p.signOut()
	p.signIn("instructor", p.passcode)
	p.open("/class/hand?name=Aoi+Example")
	p.says("Since the class Monday")
	p.lookInBoth("class-hand")
	p.open("/tasks")
	p.lookInBoth("tasks-given")
	p.open("/class/eyes")
	p.lookInBoth("eyes")
	p.signOut()
}

// handsOver checks a tray, opens and closes a block, asks what to order, and hands over
// on one printed page.
func (p *phone) handsOver(passcode string) {
	p.Helper()
	p.signIn("lunch chef", passcode)
	p.open("/line")
	p.take(p.sample("tray-a4.jpg"))
	p.settled()
	p.open("/blocks")
	p.do("open a block", chromedp.SetValue("#species", "salmon"), chromedp.SetValue("#grams", "812"), chromedp.SetValue("#supplier", "harbour"), click(`form[action="/blocks"] button`), chromedp.WaitReady(`form[action$="/close"]`))
	p.do("close it", unfold(".paper summary"), chromedp.SetValue(`form[action$="/close"] input[name=served]`, "41"), chromedp.SetValue(`form[action$="/close"] input[name=left]`, "95"))
	p.look("blocks")
	p.do("close it", click(`form[action$="/close"] button`), chromedp.WaitVisible("h2 + ul"))
	p.says("41 slices, 17.5 g of block for each")
	p.lookInBoth("blocks-closed")
	p.open("/yield?species=salmon&slices=80")
	p.lookInBoth("yield")
	p.open("/shift")
	p.says("1 check", "almon, harbour: 41 slices")
	p.lookInBoth("shift")
	p.do("hand over", chromedp.SetValue("#remark", "The second knife needs the stone."), click(`form[action="/shift"] button`), chromedp.WaitVisible(".said"))
	p.says("The second knife needs the stone.")
	p.lookInBoth("handed")
	paper, err := chromedp.Call(p.ctx, cdppage.PrintToPDF, cdppage.PrintToPDFParams{})
	fatal.If(p, err)
	if pages := strings.Count(string(paper.Data), "/Type /Page\n"); pages != 1 {
		p.Errorf("the hand-over prints on %d pages", pages)
	}
}

// setsTask makes a task and gives it to the class.
func (p *phone) setsTask() {
	p.Helper()
	p.open("/tasks")
	p.do("a task", chromedp.SetValue("#name", "Eight of salmon"), chromedp.SetValue("#species", "salmon"), chromedp.SetValue("#slices", "8"), chromedp.SetValue("#minutes", "10"),
		chromedp.SetValue("#length", "200"), chromedp.SetValue("#width", "70"), chromedp.SetValue("#height", "25"), chromedp.SetValue("#pile", "5 upright"), click(`form[action="/tasks"] button`), chromedp.WaitReady(`form[action="/tasks/give"]`))
	p.look("tasks")
	p.do("give it", click(`form[action="/tasks/give"] button`), chromedp.WaitVisible("[data-live]"))
	p.says("8 slices from a block of 200 × 70 × 25 mm, within 10 minutes")
}

// ownTray sends the teacher's tray and makes it the reference.
func (p *phone) ownTray() {
	p.Helper()
	p.do("unfold", unfold(`details:has([action="/class/reference"]) summary`))
	p.look("class-reference")
	p.take(p.sample("tray-a4.jpg"))
	p.settled()
	p.tap("the reference", `form[action$="/reference"] button:not([name=end])`, `form[action$="/reference"] button[name=end]`)
	p.says("The reference tray of Monday")
	p.look("reference")
}
