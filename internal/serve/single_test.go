package serve

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"net/http"
	"netagauge/internal/core/fatal"
	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/book"
	"netagauge/internal/work/record"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"netagauge/internal/keep/account"
	"netagauge/internal/see/printscale"
	"netagauge/internal/serve/gate"
)

// stand is in the place of the processes that measure single photos. It reads
// each photo whole.
type stand struct {
	made    plan.Plan
	picture string
	print   printscale.Verified
	told    plan.Photographed
	second  string // name of the second photo
	coin    string
	err     error
}

func (x *stand) Block(_ context.Context, p, second record.Photo, told plan.Photographed) (plan.Plan, []byte, error) {
	x.told, x.second = told, second.Name
	err := readWhole(p)
	if second.Open != nil {
		err = errors.Join(err, readWhole(second))
	}
	return x.made, []byte(x.picture), errors.Join(err, x.err)
}

func (x *stand) Print(_ context.Context, p record.Photo, coin string) (printscale.Verified, error) {
	x.coin = coin
	return x.print, errors.Join(readWhole(p), x.err)
}

func readWhole(p record.Photo) error {
	data, err := p.Read()
	if err == nil && (book.Hash(data) != p.Hash || len(data) == 0) {
		err = errors.New("the photo is not whole")
	}
	return err
}

// A mat is verified in a process of its own: what it says reaches the page, and
// one that dies takes nothing with it.
func TestVerifyMat(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir()) // what lies in the machine's own is other programs'
	e := newEverybody(t)
	e.single.err = record.EnteredError{Cause: phrase.Wrong("print-no-card")}
	got := e.teacher.send("/mat", nil, "card <1>.jpg", freshPhoto())
	got.must(e.site, http.StatusUnprocessableEntity, "No bank card is seen")
	got.lacks(e.site, os.TempDir())
	e.single.err = errors.New("the worker stopped over the photo (signal: killed)")
	got = e.teacher.send("/mat", nil, "card.jpg", freshPhoto())
	got.must(e.site, http.StatusUnprocessableEntity, "could not be verified")
	got.lacks(e.site, "signal: killed")
	if !strings.Contains(e.said.String(), "signal: killed") {
		t.Errorf("the log says %q", e.said)
	}
	e.said.Reset()
	e.single.err, e.single.print = nil, printscale.Verified{Mat: "a4", By: printscale.Card(), Scale: uncertainty.Value{X: 0.97, U: 0.0015}}
	e.teacher.sent("/mat", map[string]string{"coin": "100 yen"}, "card.jpg", freshPhoto()).must(e.site, http.StatusOK, "Verified and kept", "Mat a4: printed at 97.00 % ± 0.30 %")
	if e.single.coin != "100 yen" {
		t.Errorf("it was verified by the coin %q", e.single.coin)
	}
	if left, _ := filepath.Glob(filepath.Join(os.TempDir(), "netagauge-*")); len(left) > 0 {
		t.Errorf("photos are left: %v", left)
	}

	// Later photos are measured with it.
	e.aoi.sendTray("/tray")
	x, found, err := e.folder.Next(t.Context())
	if err != nil || !found || len(x.Ticket.Prints) != 1 || x.Ticket.Prints[0] != (printscale.Record{Mat: "a4", Scale: 0.97, U: 0.003, Object: "card", Day: time.Now().Format(time.DateOnly)}) {
		t.Errorf("the next photo goes by %+v, %v", x.Ticket.Prints, err)
	}

	// A coin that cannot tell more than that the print may be true keeps nothing.
	coin, err := printscale.Coin("100 yen")
	fatal.If(t, err)
	e.single.print = printscale.Verified{Mat: "a3", By: coin, Scale: uncertainty.Value{X: 1.002, U: 0.004}}
	e.teacher.sent("/mat", map[string]string{"coin": "100 yen"}, "coin.jpg", freshPhoto()).must(e.site, http.StatusOK, "nothing was kept")
}

// A plan from a photo comes from a process of its own; its picture is for who
// made it.
func TestPlanFromPhoto(t *testing.T) {
	e := newEverybody(t)
	e.single.picture = "a picture"
	fatal.If(t, json.Unmarshal([]byte(`{"start":"tail","hand":"right","tail_side":"left","cuts":[{"number":0,"theta_deg":44,"phi_deg":40},{"number":1,"theta_deg":43,"phi_deg":40,"board_near_mm":12}],"slices":[{"number":1,"theta_deg":43,"length_mm":80,"width_mm":35,"weight_g":12}],"offcuts":[{"where":"tail","weight_g":30,"use":"tip"}],"served_g":12,"yield_percent":51,"block_g":284,"stations":[{"near_mm":-28,"far_mm":28,"height_mm":20,"near_height_mm":20,"far_height_mm":20},{"x_mm":240,"near_mm":-28,"far_mm":28,"height_mm":20,"near_height_mm":20,"far_height_mm":20}]}`), &e.single.made))
	to := e.chef.send("/plan", map[string]string{"height": "20", "hand": "left", "tail": "left", "species": "squid"}, "block.jpg", freshPhoto()).header.Get("Location")
	made := e.chef.get(to)
	made.must(e.site, http.StatusOK, "slices to serve", "of the block&#39;s 28", "Every cut (", "What is left over (", "<svg", `href="/plan/sheet.pdf?`)
	if again := e.chef.get(to); again.body != made.body {
		t.Error("the address gives another page when it is loaded anew")
	}
	e.teacher.get(to).must(e.site, http.StatusOK, "slices to serve") // others have the plan by its address, without the picture
	e.teacher.get(to).lacks(e.site, "/plan/picture/")
	for _, language := range []string{"en", "ja"} {
		e.chef.header = http.Header{"Accept-Language": {language}}
		if got := e.chef.get(strings.Replace(to, "/plan?", "/plan/sheet.pdf?", 1)); !strings.HasPrefix(got.body, "%PDF-") {
			t.Errorf("the sheet to print in %s: %d %v", language, got.status, got.header)
		}
	}
	e.chef.header = http.Header{}
	if told := e.single.told; told.Heights != "20" || told.Options.Hand != plan.Left || told.Options.Tail != plan.Left ||
		told.Standard != standard.Default() || told.Group != "stiff" || told.Options.Density < 1.03 {
		t.Errorf("the block goes by %+v", told)
	}
	_, after, ok := strings.Cut(made.body, `src="/plan/picture/`)
	if !ok {
		t.Fatal("the plan has no picture")
	}
	id, _, _ := strings.Cut(after, `"`)
	if got := e.chef.get("/plan/picture/" + id); got.body != "a picture" || got.header.Get("Content-Type") != "image/jpeg" {
		t.Errorf("the picture: %d %v", got.status, got.header)
	}
	e.teacher.get("/plan/picture/"+id).must(e.site, http.StatusNotFound)
	e.chef.send("/plan", map[string]string{"hand": "right"}, "block.jpg", freshPhoto()).must(e.site, http.StatusSeeOther)
	if e.single.second != "" {
		t.Errorf("one photo comes with a second, %q", e.single.second)
	}
	e.chef.sendBoth("/plan", freshPhoto(), freshPhoto()).must(e.site, http.StatusSeeOther)
	if e.single.second == "" || e.single.told.Heights != "" {
		t.Errorf("of two photos the second is %q, the height %q", e.single.second, e.single.told.Heights)
	}
	for _, wrong := range []string{"x", "0_0_0_0_0", "0_-28_28_20_20_20", strings.Repeat("0_-28_28_20_20_20~", 300), "0_-28_28_20_20_20~NaN_-28_28_20_20_20"} {
		e.chef.get("/plan?seen="+wrong).must(e.site, http.StatusUnprocessableEntity)
	}
	e.chef.send("/plan", map[string]string{"height": "20", "species": "gravel"}, "block.jpg", freshPhoto()).must(e.site, http.StatusUnprocessableEntity, "gravel")
	e.single.err = record.EnteredError{Cause: phrase.Wrong("p-nothing")}
	e.chef.send("/plan", map[string]string{"height": "20"}, "block.jpg", freshPhoto()).must(e.site, http.StatusUnprocessableEntity, "Nothing lies on the field")
}

// Whatever comes as a form, there is an answer, and no fault of the program.
func FuzzTrayForm(f *testing.F) {
	for _, s := range []string{"", "--b--\r\n", "--b\r\nContent-Disposition: form-data; name=\"thickness\"\r\n\r\n4\r\n--b--\r\n",
		"--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n\xff\xd8\xff\r\n--b--\r\n",
		"--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"../../x\"\r\nContent-Transfer-Encoding: quoted-printable\r\n\r\n=\r\n--b",
		"--b\r\nContent-Disposition: form-data; name=\"\xff\"; filename*=UTF-8''%ff\r\n\r\nx\r\n--b--"} {
		f.Add(s)
	}
	s := newSite(f)
	s.server.sending = gate.NewThrottle(gate.Budget{Burst: 1 << 30, Wait: 1}, gate.Budget{}, 1<<30)
	s.role(account.Instructor).openMonday()
	v := s.trainee("Aoi Test")
	f.Fuzz(func(t *testing.T, body string) {
		s.TB = t
		got := v.do("POST", "/tray", "multipart/form-data; boundary=b", strings.NewReader(body))
		if got.status >= 500 || got.status < 300 {
			t.Errorf("form %q: %d\n%s", body, got.status, got.body)
		}
	})
}

// Sections written into an address read back to a hundredth of a millimetre.
func TestSectionsReadBack(t *testing.T) {
	in := []plan.Station{{X: 0, Near: -28.126, Far: 27.5, NearHeight: 4, Height: 13, FarHeight: 22.25}, {X: 240.5, Near: -28, Far: 28, NearHeight: 20, Height: 20, FarHeight: 20}}
	got, err := readSections(sectionsOf(in))
	in[0].Near = -28.13
	if err != nil || !slices.Equal(got, in) {
		t.Errorf("%v, %v; want %v", got, err, in)
	}
}
