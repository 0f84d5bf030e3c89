package serve

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netagauge/internal/keep/account"
	"netagauge/internal/see/printscale"
	"netagauge/internal/serve/gate"
)

// stands puts a script in the place of the program that measures a photo by
// itself.
func (s *site) stands(script string) {
	s.Helper()
	path := filepath.Join(s.TempDir(), "program")
	if err := os.WriteFile(path, []byte("#!/bin/sh\n"+script+"\n"), 0o700); err != nil {
		s.Fatal(err)
	}
	s.server.Program = path
}

// A mat is verified in a process of its own: what it says reaches the page, and
// one that dies takes nothing with it.
func TestVerifyMat(t *testing.T) {
	e := newEverybody(t)
	e.stands(`echo "netagauge mat: $3: no bank card is seen" >&2; echo "  netagauge mat --help shows how" >&2; exit 3`)
	got := e.teacher.send("/mat", nil, "card <1>.jpg", freshPhoto())
	got.must(e.site, http.StatusUnprocessableEntity, "could not be verified", "card &lt;1&gt;.jpg: no bank card is seen")
	got.lacks(e.site, os.TempDir(), "--help")
	e.stands(`kill -9 $$`)
	e.teacher.send("/mat", nil, "card.jpg", freshPhoto()).must(e.site, http.StatusUnprocessableEntity, "signal: killed")
	e.stands(`test "$1 $2" = "mat --verify" && test -s "$3" && printf '[[print]]\nmat = "a4"\nscale = 0.97\nexpanded_uncertainty = 0.003\nobject = "card"\nday = "2026-11-25"\n' > "$NETAGAUGE_PRINTS"`)
	e.teacher.send("/mat", nil, "card.jpg", freshPhoto()).must(e.site, http.StatusOK, "Verified and kept", "Mat a4: printed at 97.00 % ± 0.30 %")
	if left, _ := filepath.Glob(filepath.Join(os.TempDir(), "netagauge-*", "photo")); len(left) > 0 {
		t.Errorf("photos are left: %v", left)
	}

	// Later photos are measured with it.
	e.aoi.sendTray("/tray")
	x, found, err := e.folder.Next(t.Context())
	if err != nil || !found || len(x.Ticket.Prints) != 1 || x.Ticket.Prints[0] != (printscale.Record{Mat: "a4", Scale: 0.97, U: 0.003, Object: "card", Day: "2026-11-25"}) {
		t.Errorf("the next photo was told %+v, %v", x.Ticket.Prints, err)
	}
}

// A plan from a photo comes from a process of its own; its picture is for who
// made it.
func TestPlanFromPhoto(t *testing.T) {
	e := newEverybody(t)
	e.stands(`test "$1 $2 $3" = "plan --json --photo" && test "$5 $6" = "--heights 20" && printf 'a picture' > "$8" &&
		printf '{"start":"tail","hand":"right","tail_side":"left","cuts":[{"number":0,"theta_deg":44,"phi_deg":40},{"number":1,"theta_deg":43,"phi_deg":40,"board_near_mm":12}],"slices":[{"number":1,"theta_deg":43,"length_mm":80,"width_mm":35,"weight_g":12}],"offcuts":[{"where":"tail","weight_g":30,"use":"tip"}],"served_g":12,"yield_percent":51,"block_g":284,"stations":[{"near_mm":-28,"far_mm":28,"height_mm":20,"near_height_mm":20,"far_height_mm":20},{"x_mm":240,"near_mm":-28,"far_mm":28,"height_mm":20,"near_height_mm":20,"far_height_mm":20}]}'`)
	made := e.chef.send("/plan", map[string]string{"height": "20", "hand": "right", "tail": "left"}, "block.jpg", freshPhoto())
	made.must(e.site, http.StatusOK, "1 slice to serve: 12 g of the block&#39;s 284 g, 51 %.", "tip of the tail", "<td>43</td>", "<svg")
	_, after, ok := strings.Cut(made.body, `src="/plan/picture/`)
	if !ok {
		t.Fatal("the plan has no picture")
	}
	id, _, _ := strings.Cut(after, `"`)
	if got := e.chef.get("/plan/picture/" + id); got.body != "a picture" || got.header.Get("Content-Type") != "image/jpeg" {
		t.Errorf("the picture: %d %v", got.status, got.header)
	}
	e.teacher.get("/plan/picture/"+id).must(e.site, http.StatusNotFound)
	e.stands(`echo "netagauge plan: $4: nothing lies on the field" >&2; exit 2`)
	e.chef.send("/plan", map[string]string{"height": "20"}, "block.jpg", freshPhoto()).must(e.site, http.StatusUnprocessableEntity, "block.jpg: nothing lies on the field")
	e.chef.send("/plan", map[string]string{"height": "--picture=/etc/passwd"}, "block.jpg", freshPhoto()).must(e.site, http.StatusUnprocessableEntity)
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
