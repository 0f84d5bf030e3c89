package main

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// A trainee is asked what may be kept, says no and then yes, asks to be deleted, and is,
// once who teaches confirms it.
func TestConsentAndDeletion(t *testing.T) {
	everywhere(t, true, (*phone).consentsAndLeaves)
}

func (p *phone) consentsAndLeaves() {
	link := p.quickLink()
	p.undecided = true
	p.do("the link", chromedp.Navigate(p.base+link), chromedp.WaitVisible(`[value="yes"]`))
	p.says("kept under your name?", "Photos stay until", "You can take it back")
	p.lookInBoth("consent")
	p.do("no", click(`[value="no"]`), chromedp.WaitVisible(".camera"))
	p.take(p.sample("tray-a4.jpg"))
	p.settled()
	p.open("/past")
	p.says("Tray 1")
	p.signOut()
	p.signIn("instructor", p.passcode)
	p.open("/class")
	if text := p.text(); strings.Contains(text, "Tray 1, Aoi Example") {
		p.Errorf("the board has the name:\n%s", text)
	}
	p.signOut()
	p.do("the link again", chromedp.Navigate(p.base+link), chromedp.WaitVisible(".camera")) // asked once
	p.open("/mine")
	p.says("without your name")
	p.do("yes after all", click(`[value="yes"]`), chromedp.WaitVisible(`[value="no"]`))
	p.says("under your name")
	p.open("/tray")
	p.take(p.sample("tray-laid.jpg"))
	p.settled()
	p.open("/mine")
	p.lookInBoth("mine")
	p.do("delete", click(`a[href="/mine/delete"]`), chromedp.WaitVisible(`form[action="/mine/delete"]`))
	p.lookInBoth("mine-delete")
	p.do("yes", click(`form[action="/mine/delete"] button`), chromedp.WaitVisible(`form[action="/mine/stay"]`))
	p.signOut()
	p.confirmsDeletion(link)
}

// confirmsDeletion is the instructor's part.
func (p *phone) confirmsDeletion(link string) {
	p.Helper()
	p.signIn("instructor", p.passcode)
	p.open("/people")
	p.says("Aoi Example asked on")
	p.do("what there is", click(`.problem a[href^="/people/forget"]`), chromedp.WaitVisible(`form[method="post"][action="/people/forget"]`))
	p.says("Photos: 1", "Backups made before")
	p.lookInBoth("forget")
	p.do("delete", click(`form[method="post"][action="/people/forget"] button`), chromedp.WaitVisible("p.code"))
	if text := p.text(); strings.Contains(text, "Aoi") {
		p.Errorf("the name is still there:\n%s", text)
	}
	p.open("/people/forget")
	p.says("as the person asked: photos 1, results 1")
	p.lookInBoth("forgotten")
	p.open("/class")
	if text := p.text(); strings.Contains(text, "Aoi") {
		p.Errorf("the class still has the name:\n%s", text)
	}
	p.signOut()
	p.do("the link opens nothing", chromedp.Navigate(p.base+link), chromedp.WaitReady("main"))
	p.says("not valid any more")
}
