package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/organisation"
	"netagauge/internal/keep/settings"
	"netagauge/internal/serve"
	"netagauge/internal/tell/telltest"
	"netagauge/internal/work/record"
	"netagauge/testdata/photos"
)

// An owner looks at a day of two invented sites, one of which drifts, sets up a third,
// moves a trainee and changes what all inherit; an instructor sets how long photos stay.
func TestOwnersPages(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	t.Parallel() // half of it is waiting
	o := newOrganisation(t)
	p := &phone{T: t, shots: os.Getenv("NETAGAUGE_SHOTS"), axe: readAxe(t), server: server{base: o.base}, ctx: telltest.Browser(t)}
	p.screen(390, 844)
	p.open("/")
	p.says("Kyoto Campus", "Osaka Harbour School")
	p.look("owner-front")
	p.do("come in as owner", unfold("main summary"), chromedp.SetValue("#name", "Owner"), chromedp.SetValue("#passcode", o.owner), click(`form[action="/signin"] button`), chromedp.WaitVisible(`a[href="/sites/osaka/look?to=line"]`))
	p.says("The line drifts: Length", "24 of 24 as the house asks")
	p.lookInBoth("sites")
	p.looksAtASite()
	p.setsUpASite()
	p.open("/sites/osaka")
	p.do("move", chromedp.SetValue("#move-who", "Aoi Example"), chromedp.SetValue("#move-to", "kyoto"), click(`form[action$="/move"] button`), chromedp.WaitNotPresent(`#move-who option:nth-child(3)`), chromedp.WaitVisible("#move-who"))
	p.says("Saved")
	p.open("/sites?day=" + time.Now().AddDate(0, 0, -1).Format(time.DateOnly))
	if text := p.text(); strings.Contains(text, "The line drifts") {
		t.Errorf("a day before says what drifts now:\n%s", text)
	}
	p.do("sign out", chromedp.Submit(`form[action="/signout"]`), chromedp.WaitVisible(`a[href="/at/osaka"]`))
	p.atASite(o.teacher)
}

// looksAtASite sees its line as an owner does, who changes nothing there.
func (p *phone) looksAtASite() {
	p.Helper()
	p.do("its line", click(`a[href="/sites/osaka/look?to=line"]`), chromedp.WaitVisible(".onlooker"))
	p.says("You are looking at Osaka Harbour School")
	p.look("looking")
	p.open("/standard")
	p.says("Every site follows this standard")
}

// setsUpASite adds one, makes its first passcode, and closes it.
func (p *phone) setsUpASite() {
	p.Helper()
	p.open("/organisation")
	p.do("unfold", unfold(`details:has(> form[action="/organisation/sites"]) > summary`))
	p.lookInBoth("organisation")
	p.open("/organisation")
	p.do("a wrong name", unfold(`details:has(> form[action="/organisation/sites"]) > summary`), chromedp.SetValue("#site-name", "Nara 1"), chromedp.SetValue("#title-en", "Nara North"), click(`form[action="/organisation/sites"] button`), chromedp.WaitVisible(".problem.hard"))
	p.look("organisation-wrong")
	p.do("a site", chromedp.WaitVisible(`#title-en[value="Nara North"]`), chromedp.SetValue("#site-name", "nara"), chromedp.SetValue("#title-ja", "奈良北校"), click(`form[action="/organisation/sites"] button`), chromedp.WaitVisible("#pass-name"))
	p.do("its passcode", chromedp.SetValue("#pass-name", "Teacher Example"), click(`form[action$="/passcode"] button`), chromedp.WaitVisible("p.code"))
	p.says("Passcode for Teacher Example")
	p.look("site-passcode")
	p.open("/sites/osaka")
	p.lookInBoth("site")
	p.open("/sites/nara")
	p.do("close it", unfold("main details summary"), click(`button[name="closed"]`), chromedp.WaitVisible(`form[action$="/closed"] button:not(.plain)`))
	p.look("site-closed")
}

// atASite is an instructor's part: who came from elsewhere, the standard that is
// inherited, and how long things stay.
func (p *phone) atASite(passcode string) {
	p.Helper()
	p.do("choose it", chromedp.Navigate(p.base+"/at/kyoto"), chromedp.WaitVisible("#code"))
	p.signIn("Teacher", passcode)
	p.open("/class/hand?name=Aoi+Example")
	p.says("Before, at Osaka Harbour School")
	p.look("moved")
	p.open("/standard")
	p.says("This is the organisation's standard")
	p.do("a higher limit", chromedp.SetValue("#width-high", "45"), click(`form[action="/standard"] button`), chromedp.WaitVisible(`button[name="try"]`), click(`button[name="try"]`), chromedp.WaitVisible(`form[action="/standard/inherit"]`))
	p.says("keeps a standard of its own", "45 here")
	p.lookInBoth("standard-own")
	p.open("/people/keeping")
	p.do("wrong days", chromedp.SetValue("#photos", "1"), click(`form[action="/people/keeping"] button`), chromedp.WaitVisible(".problem.hard"))
	p.do("a month", chromedp.SetValue("#photos", "30"), chromedp.SetValue("#people", "12"), click(`form[action="/people/keeping"] button`), chromedp.WaitVisible("p.good"))
	p.says("Nothing goes before")
	p.lookInBoth("keeping-saved")
}

// invented is an organisation of made-up sites.
type invented struct {
	*testing.T
	base           string
	owner, teacher string // passcodes
	sent           int
	photo          []byte
}

func newOrganisation(t *testing.T) *invented {
	t.Helper()
	o := &invented{T: t}
	dir := t.TempDir()
	kept, err := organisation.Open(t.Context(), database.File(filepath.Join(dir, "organisation.sqlite")))
	o.must(err)
	t.Cleanup(func() { kept.Close() })
	owners := o.accounts(filepath.Join(dir, "owners.sqlite"))
	o.owner, err = owners.AddPasscode(t.Context(), account.Instructor, "Owner")
	o.must(err)
	o.photo, err = photos.Files.ReadFile("tray-a4.jpg")
	o.must(err)
	for name, titles := range map[string]map[string]string{"kyoto": {"en": "Kyoto Campus", "ja": "京都校"}, "osaka": {"en": "Osaka Harbour School", "ja": "大阪港校"}} {
		o.must(kept.Add(t.Context(), organisation.Site{Name: name, Titles: titles}))
	}
	web := httptest.NewUnstartedServer(nil)
	o.base = "http://" + web.Listener.Addr().String()
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	pages := serve.NewOrganisation(ctx, serve.Sites{Kept: kept, Options: serve.Options{Base: o.base, Accounts: owners, Settings: settings.InFolder(dir), Standard: standard.Default()},
		Open: func(ctx context.Context, name string) (serve.Options, error) {
			at := filepath.Join(dir, name)
			folder, err := intake.Open(ctx, at, "test")
			if err != nil {
				return serve.Options{}, err
			}
			t.Cleanup(func() { folder.Close() })
			s := serve.Options{Folder: folder, Accounts: o.accounts(filepath.Join(at, "accounts.sqlite")), Settings: settings.InFolder(at), Line: "lunch"}
			return s, o.fill(ctx, name, s)
		}})
	web.Config.Handler = pages.Handler()
	web.Start()
	t.Cleanup(web.Close)
	return o
}

func (o *invented) must(err error) {
	o.Helper()
	fatal.If(o, err)
}

func (o *invented) accounts(path string) *account.Accounts {
	o.Helper()
	a, err := account.Open(context.Background(), path)
	o.must(err)
	o.Cleanup(func() { a.Close() })
	return a
}

// fill has a class at kyoto, and at osaka one and a line whose last check is longer.
func (o *invented) fill(ctx context.Context, name string, s serve.Options) (err error) {
	who := "Hana Sample"
	if name == "osaka" {
		who = "Aoi Example"
	}
	told := ticket.Ticket{Standard: standard.Default(), Species: "salmon", Thickness: "4"}
	class := intake.Session{Kind: intake.Class, Name: "Morning class", HeldOn: time.Now(), Ticket: told}
	if name != "nara" {
		err = errors.Join(s.Settings.Keep(ctx, settings.Roster, "label,name\nTray 01,"+who+"\nTray 02,鈴木 見本\n"),
			s.Folder.SetSession(ctx, class), s.Folder.SetSession(ctx, intake.Session{Kind: intake.Line, Name: "lunch", Ticket: told}),
			o.tray(ctx, s.Folder, intake.Shot{Kind: intake.Class, Session: class.Name, Owner: "trainee/" + who, Who: who, Ticket: told}, 80))
	}
	if name == "kyoto" {
		var made error
		o.teacher, made = s.Accounts.AddPasscode(ctx, account.Instructor, "Teacher")
		err = errors.Join(err, made)
	}
	if name == "osaka" {
		for _, mm := range []float64{80, 80.1, 79.9, 80, 80.1, 79.9, 80, 80.1, 79.9, 83} {
			err = errors.Join(err, o.tray(ctx, s.Folder, intake.Shot{Kind: intake.Line, Session: "lunch", Owner: "chef/Chef", Ticket: told}, mm))
		}
	}
	return err
}

// tray is one of two slices about so long, measured.
func (o *invented) tray(ctx context.Context, f *intake.Folder, s intake.Shot, mm float64) error {
	o.sent++
	s.Name = fmt.Sprintf("tray-%02d.jpg", o.sent)
	if _, err := f.Receive(ctx, s, bytes.NewReader(marked(o.photo, o.sent))); err != nil {
		return err
	}
	x, _, err := f.Next(ctx)
	if err != nil {
		return err
	}
	slice := func(n int, y, long float64) piece.Piece {
		return piece.Piece{Number: n, State: piece.Measured, Outline: [][2]float64{{40, y}, {40 + long, y}, {40 + long, y + 35}, {40, y + 35}}, Length: piece.Of(long, .4), Width: piece.Of(35, .4),
			Area: piece.Of(long*35, 20), Weight: piece.Of(12.1, .6), Thickness: piece.Of(4, 0), Cover: piece.Of(1, 0), Verdict: piece.Pass}
	}
	r := record.Recorder{Book: f.Book(), Program: f.Program(), Measure: func(context.Context, record.Tray) (record.Result, error) {
		return record.Result{Picture: o.photo, View: o.photo, Report: piece.Tray{Photo: piece.Photo{File: s.Name, WidthPx: 4000, HeightPx: 3000}, Status: piece.TrayMeasured, Standard: "nigiri",
			Mat: &piece.Mat{Name: "a4", PrintScale: 1, PxPerMM: 9}, Pieces: []piece.Piece{slice(1, 40, mm-.2), slice(2, 90, mm+.2)}, Tally: &piece.Tally{Measured: 2, Passed: 2}}}, nil
	}}
	kept, err := r.Record(ctx, record.Tray{Ticket: x.Ticket, First: record.Photo{Hash: x.Hash}})
	if err != nil {
		return err
	}
	return f.Settle(ctx, x, kept.Outcome())
}
