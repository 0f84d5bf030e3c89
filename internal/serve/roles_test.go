package serve

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
)

// everybody is one visitor of each kind, and a photo of each kind.
type everybody struct {
	*site
	stranger, aoi, bo, code, chef, teacher *visitor
	aoiShot, codeShot, lineShot            string // pages
}

func newEverybody(t *testing.T) everybody {
	s := newSite(t)
	e := everybody{site: s, stranger: s.visitor(), chef: s.role(account.Chef), teacher: s.role(account.Instructor)}
	e.teacher.openMonday()
	link, err := s.accounts.NewLink(t.Context(), "Aoi Test")
	fatal.If(t, err)
	e.code = s.joined("Aoi Test") // before she opens her link, since a name is one phone's
	e.aoi, e.bo = s.following("Aoi Test", link), s.trainee("Bo Test")
	e.aoiShot, e.codeShot, e.lineShot = e.aoi.sendTray("/tray"), e.code.sendTray("/tray"), e.chef.sendTray("/line")
	s.measure(madeUp)
	return e
}

// Who may open what: each kind of visitor at each path.
func TestWhoSeesWhat(t *testing.T) {
	e := newEverybody(t)
	const (
		ok   = http.StatusOK
		no   = http.StatusNotFound
		must = http.StatusUnauthorized
		see  = http.StatusSeeOther
	)
	for path, want := range map[string][6]int{ // stranger, Aoi, Bo, Aoi by class code, chef, instructor
		"/":                                   {ok, see, see, see, see, see},
		"/tray":                               {must, ok, ok, ok, no, no},
		"/past":                               {must, ok, ok, ok, no, no},
		"/mine":                               {must, ok, ok, ok, no, no},
		"/mine/delete":                        {must, ok, ok, no, no, no},
		"/past/trend.svg":                     {must, ok, ok, no, no, no},
		"/past/everything.zip":                {must, ok, ok, no, no, no},
		"/people/everything.zip?name=Bo+Test": {must, no, no, no, no, ok},
		"/eye":                                {must, ok, ok, ok, no, no},
		"/eye/trend.svg":                      {must, ok, ok, no, no, no},
		"/hand":                               {must, ok, ok, ok, no, no},
		"/class/hand?name=Aoi+Test":           {must, no, no, no, no, ok},
		"/class/hand?name=Nobody":             {must, no, no, no, no, no},
		"/files/hands.csv":                    {must, no, no, no, no, ok},
		"/class/eyes":                         {must, no, no, no, no, ok},
		"/blocks":                             {must, no, no, no, ok, ok},
		"/yield":                              {must, no, no, no, ok, ok},
		"/shift":                              {must, no, no, no, ok, ok},
		"/shift/1":                            {must, no, no, no, no, no},
		"/tasks":                              {must, no, no, no, no, ok},
		"/exam":                               {must, ok, ok, ok, no, no},
		"/exam/certificate.pdf":               {must, no, no, no, no, no},
		"/exams":                              {must, no, no, no, no, ok},
		"/exams/1":                            {must, no, no, no, no, no},
		"/exams/1/close":                      {must, no, no, no, no, no},
		"/exams/1/record.json":                {must, no, no, no, no, no},
		"/exams/1/trays/100/1":                {must, no, no, no, no, no},
		"/eye/deck":                           {must, ok, ok, ok, no, no},
		"/eye/cards/b-1":                      {must, ok, ok, ok, no, no},
		"/eye/cards/b-99":                     {must, no, no, no, no, no},
		"/eye/cards/" + e.aoiShot[7:] + "-1":  {must, ok, ok, ok, no, no},
		"/eye/cards/" + e.aoiShot[7:] + "-3":  {must, no, no, no, no, no}, // not measured
		"/eye/cards/" + e.lineShot[7:] + "-1": {must, no, no, no, no, no}, // the line's
		e.aoiShot:                             {must, ok, no, no, no, ok},
		e.aoiShot + "/picture":                {must, ok, no, no, no, ok},
		e.aoiShot + "?live":                   {must, ok, no, no, no, ok},
		e.codeShot:                            {must, ok, no, ok, no, ok},
		e.codeShot + "/picture":               {must, ok, no, ok, no, ok},
		e.lineShot:                            {must, no, no, no, ok, ok},
		e.lineShot + "/picture":               {must, no, no, no, ok, ok},
		e.aoiShot + "/view":                   {must, ok, no, no, no, ok},
		e.aoiShot + "/slices/1":               {must, ok, no, no, no, ok},
		e.aoiShot + "/second":                 {must, ok, no, no, no, ok},
		"/shots/nothing":                      {must, no, no, no, no, no},
		"/class":                              {must, no, no, no, no, ok},
		"/class/wall":                         {must, no, no, no, no, ok},
		"/class?live":                         {must, no, no, no, no, ok},
		"/class/earlier?class=Monday":         {must, no, no, no, no, ok},
		"/roster":                             {must, no, no, no, no, ok},
		"/standard":                           {must, no, no, no, no, ok},
		"/people":                             {must, no, no, no, no, ok},
		"/people/keeping":                     {must, no, no, no, no, ok},
		"/people/forget":                      {must, no, no, no, no, ok},
		"/people/forget?name=Aoi+Test":        {must, no, no, no, no, ok},
		"/people/links":                       {must, no, no, no, no, ok},
		"/people/links/nothing":               {must, no, no, no, no, no},
		"/mat":                                {must, no, no, no, no, ok},
		"/files":                              {must, no, no, no, no, ok},
		"/files/class.pdf":                    {must, no, no, no, no, ok},
		"/files/class.xlsx":                   {must, no, no, no, no, ok},
		"/files/class.zip":                    {must, no, no, no, no, ok},
		"/files/book.json":                    {must, no, no, no, no, ok},
		"/files/nothing":                      {must, no, no, no, no, no},
		"/line":                               {must, no, no, no, ok, ok},
		"/line/weight-mean.svg":               {must, no, no, no, no, no}, // one check makes no chart
		"/plan":                               {must, no, no, no, ok, ok},
		"/plan/picture/ABCDEFGHI":             {must, no, no, no, no, no},
		"/plan?length=240&width=56&height=20": {must, no, no, no, ok, ok},
		"/plan/sheet.pdf?length=240&width=56&height=20": {must, no, no, no, ok, ok},
		"/t/guessed":                   {no, no, no, no, no, no},
		"/nothing":                     {no, no, no, no, no, no},
		"/static/style.css":            {ok, ok, ok, ok, ok, ok},
		"/photos/" + e.aoiShot[7:]:     {no, no, no, no, no, no},
		"/static/../accounts.sqlite":   {no, no, no, no, no, no},
		"/accounts.sqlite":             {no, no, no, no, no, no},
		"/shots/..%2f..%2fbook.sqlite": {must, no, no, no, no, no},
	} {
		for i, v := range []*visitor{e.stranger, e.aoi, e.bo, e.code, e.chef, e.teacher} {
			name := [...]string{"stranger", "Aoi", "Bo", "Aoi by code", "chef", "instructor"}[i]
			got := v.get(path)
			if got.status != want[i] && !(path == "/static/../accounts.sqlite" && got.status/100 == 3) {
				t.Errorf("%s gets %d at %s, want %d", name, got.status, path, want[i])
			}
		}
	}
}

// Forms do for others what pages do: nothing.
func TestWhoMayPost(t *testing.T) {
	e := newEverybody(t)
	for _, path := range []string{"/class", "/roster", "/standard", "/standard/keep", "/standard/undo", "/people/code", "/people/links", "/people/free", "/people/forget", "/people/keeping", "/class/again", "/people/accounts", "/people/accounts/remove", "/people/passcodes", "/people/passcodes/remove", "/people/passcodes/back", "/line/remark", "/exams", "/exams/1/begin", "/exams/1/close", "/exams/1/trays/100/1", "/exams/1/trays/100/1/allow", "/tasks", "/tasks/drop", "/tasks/give", e.aoiShot + "/reference",
		e.aoiShot + "/override", e.aoiShot + "/again", e.aoiShot + "/order"} {
		visitors := map[string]*visitor{"stranger": e.stranger, "Bo": e.bo, "chef": e.chef}
		if path != e.aoiShot+"/again" && path != e.aoiShot+"/order" { // what is told of a tray is told by whoever sent it
			visitors["Aoi"] = e.aoi
		}
		for name, v := range visitors {
			if got := v.post(path, url.Values{"name": {"Aoi Test"}}); got.status != http.StatusNotFound && got.status != http.StatusUnauthorized {
				t.Errorf("%s posts to %s: %d", name, path, got.status)
			}
		}
	}
	for path, visitors := range map[string][]*visitor{"/tray": {e.stranger, e.chef, e.teacher}, "/line": {e.stranger, e.aoi}, "/mat": {e.stranger, e.aoi, e.chef}, "/plan": {e.stranger, e.aoi}} {
		for i, v := range visitors {
			if got := v.send(path, nil, "a.jpg", freshPhoto()); got.status != http.StatusNotFound && got.status != http.StatusUnauthorized {
				t.Errorf("visitor %d sends to %s: %d", i, path, got.status)
			}
		}
	}
	if n, _ := e.folder.Waiting(context.Background()); n != 0 {
		t.Errorf("%d photos were taken in", n)
	}
}

// Another's photo and none at all look alike, to the letter.
func TestNoHint(t *testing.T) {
	e := newEverybody(t)
	mask := regexp.MustCompile(`back=[^"]*"`)
	a, b := e.bo.get(e.aoiShot), e.bo.get("/shots/aaaaaaaaaaaaaaaaaaaaaaaaaa")
	if mask.ReplaceAllString(a.body, "") != mask.ReplaceAllString(b.body, "") || a.status != b.status {
		t.Errorf("another's photo:\n%s\nno photo:\n%s", a.body, b.body)
	}
}

// By class code a trainee sees what was sent from there and nothing earlier.
func TestClassCodeShowsOnlyItsOwn(t *testing.T) {
	e := newEverybody(t)
	past := e.code.get("/past")
	past.must(e.site, http.StatusOK, e.codeShot)
	past.lacks(e.site, e.aoiShot, "trend.svg")
	e.aoi.get("/past").must(e.site, http.StatusOK, e.codeShot, e.aoiShot)
	e.bo.get("/past").lacks(e.site, "/shots/")
	e.teacher.post("/people/free", url.Values{"name": {"Aoi Test"}})
	again := e.joined("Aoi Test")
	again.get("/past").lacks(e.site, "/shots/")
	again.get(e.codeShot).must(e.site, http.StatusNotFound)
}

func TestSignOut(t *testing.T) {
	e := newEverybody(t)
	cookies := e.teacher.client.Jar.Cookies(mustURL(e.url))
	if got := e.teacher.post("/signout", nil); got.status != http.StatusSeeOther {
		t.Fatal(got.status)
	}
	e.teacher.client.Jar.SetCookies(mustURL(e.url), cookies) // kept by a thief
	e.teacher.get("/class").must(e.site, http.StatusUnauthorized)
}

func mustURL(s string) *url.URL {
	u, err := url.Parse(s)
	if err != nil {
		panic(err)
	}
	return u
}

func TestCookies(t *testing.T) {
	for _, secure := range []bool{false, true} {
		s := newSite(t)
		link, err := s.accounts.NewLink(context.Background(), "Aoi Test")
		fatal.If(t, err)
		for _, path := range []string{"/t/" + link, "/language?to=ja"} {
			got := httptest.NewRecorder()
			s.server.Handler().ServeHTTP(got, httptest.NewRequest("GET", map[bool]string{false: "http", true: "https"}[secure]+"://127.0.0.1"+path, nil))
			c := got.Header().Get("Set-Cookie")
			for _, want := range []string{"HttpOnly", "SameSite=Lax", "Path=/", "Expires="} {
				if !strings.Contains(c, want) {
					t.Errorf("cookie %q lacks %s", c, want)
				}
			}
			if strings.Contains(c, "Secure") != secure {
				t.Errorf("cookie %q, served over TLS: %v", c, secure)
			}
		}
	}
}

func TestGuessingIsSlowed(t *testing.T) {
	s := newSite(t)
	v := s.visitor()
	counts := map[int]int{}
	for range 60 {
		got := v.post("/join", url.Values{"code": {"0000 0001"}})
		counts[got.status]++
		if got.status == http.StatusTooManyRequests && got.header.Get("Retry-After") == "" {
			t.Error("slowed, and not said until when")
		}
	}
	if counts[http.StatusForbidden] > 45 || counts[http.StatusTooManyRequests] < 15 {
		t.Errorf("answers by status: %v", counts)
	}
	// Passcodes have a budget of their own: ten tries, and one more each ten seconds,
	// of which a slow computer lets some pass.
	tries, began := 0, time.Now()
	for tries < 60 && v.post("/signin", url.Values{"name": {"instructor"}, "passcode": {"x"}}).status == http.StatusForbidden {
		tries++
	}
	if most := 11 + int(time.Since(began)/(10*time.Second)); tries < 10 || tries > most {
		t.Errorf("%d wrong passcodes were tried, want 10 to %d", tries, most)
	}
}

func TestSendingIsSlowed(t *testing.T) {
	e := newEverybody(t)
	refused := 0
	for range 60 {
		if got := e.bo.send("/tray", nil, "a.jpg", []byte("no photo")); got.status == http.StatusTooManyRequests {
			refused++
		}
	}
	if refused == 0 {
		t.Error("60 photos at once from one address, and none was slowed")
	}
	if n, _ := e.folder.Waiting(context.Background()); n != 0 {
		t.Errorf("%d photos were taken in", n)
	}
}

// What a form from elsewhere asks for is not done.
func TestFormsFromElsewhere(t *testing.T) {
	e := newEverybody(t)
	before, _ := e.accounts.ClassCode(context.Background())
	for name, h := range map[string]http.Header{
		"by Sec-Fetch-Site": {"Sec-Fetch-Site": {"cross-site"}},
		"by Origin":         {"Origin": {"http://elsewhere.example"}},
		"without an origin": {"Origin": {"null"}},
	} {
		e.teacher.header = h
		if got := e.teacher.post("/people/code", nil); got.status != http.StatusForbidden {
			t.Errorf("%s: %d", name, got.status)
		}
	}
	if after, _ := e.accounts.ClassCode(context.Background()); after != before {
		t.Error("the class code was changed from elsewhere")
	}
	e.teacher.header = http.Header{"Origin": {e.url}}
	if got := e.teacher.post("/people/code", nil); got.status != http.StatusSeeOther {
		t.Errorf("from its own page: %d", got.status)
	}
}

func TestKindsStayApart(t *testing.T) {
	e := newEverybody(t)
	shots, err := e.folder.List(context.Background(), intake.Filter{Kind: intake.Line})
	if err != nil || len(shots) != 1 || shots[0].Session != "lunch" {
		t.Errorf("the line has %v, %v", shots, err)
	}
}
