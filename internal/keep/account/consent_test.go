package account

import (
	"netagauge/internal/core/fatal"
	"netagauge/internal/keep/enginetest"
	"strings"
	"testing"
)

// holding are the columns that may hold a trainee, and those that hold nobody or people
// with a passcode; a new one must be put here, and be seen to in Remove.
var holding = map[string]string{
	"link": "trainee hash created_at", "browser": "hash role who limited passcode expires_at", "sent": "session shot", // goes with its browser
	"consent": "id trainee given terms said_at", "place": "person_id site role who", "person": "id email issuer subject invited_at",
	"passcode": "id role name hash created_at", "class_code": "only code",
	"shown": "hash sealed expires_at", "tried": "hash forgiven_at", // nobody who has not the address can read the one; the other has no names
}

func TestRemoveKnowsEveryColumn(t *testing.T) {
	for _, c := range enginetest.Columns(t, opened(t).db) {
		if !strings.Contains(" "+holding[c.Table]+" ", " "+c.Name+" ") {
			t.Errorf("%s.%s: may it hold a person? Say so here, and see to it in Remove", c.Table, c.Name)
		}
	}
}

func TestConsent(t *testing.T) {
	a, ctx := opened(t), t.Context()
	if c, err := a.Consent(ctx, "Aoi"); err != nil || c.Said || c.Given {
		t.Errorf("nobody asked, and there is %+v, %v", c, err)
	}
	for _, given := range []bool{true, false, true} {
		fatal.If(t, a.SetConsent(ctx, "Aoi", "1", given))
		if c, err := a.Consent(ctx, "Aoi"); err != nil || !c.Said || c.Given != given || c.Terms != "1" || c.At.IsZero() {
			t.Errorf("%+v, %v", c, err)
		}
	}
	if c, _ := a.Consent(ctx, "Bo"); c.Said {
		t.Error("another's consent counts")
	}
}

// Of who is removed nothing is left; of others everything is.
func TestRemove(t *testing.T) {
	a, ctx := opened(t), t.Context()
	var tokens []string
	for _, name := range []string{"Aoi", "Bo"} {
		link, err := a.NewLink(ctx, name)
		fatal.If(t, err)
		_, token, err := a.Follow(ctx, link)
		fatal.If(t, err)
		tokens = append(tokens, token)
		a.SetConsent(ctx, name, "1", true)
	}
	fatal.If(t, a.Remove(ctx, "Aoi"))
	_, aoi, _ := a.Session(ctx, tokens[0])
	_, bo, _ := a.Session(ctx, tokens[1])
	links, _ := a.Linked(ctx)
	c, _ := a.Consent(ctx, "Aoi")
	d, _ := a.Consent(ctx, "Bo")
	if aoi || !bo || links["Aoi"] || !links["Bo"] || c.Said || !d.Said {
		t.Errorf("Aoi in %v, Bo in %v, links %v, consents %+v %+v", aoi, bo, links, c, d)
	}
}
