package serve

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// An instructor's word about a slice counts in place of what was measured: in the
// picture, on the slice, on the board and on paper, with the remark and what was
// measured beside it; and it can be taken back.
func TestInstructorsWord(t *testing.T) {
	e := newEverybody(t)
	say := func(piece, kind, remark string) answer {
		return e.teacher.post(e.aoiShot+"/override", url.Values{"piece": {piece}, "kind": {kind}, "reason": {remark}})
	}
	say("3", "said-good", "it touches").must(e.site, http.StatusUnprocessableEntity, "give a reason") // has no numbers
	say("1", "said-again", "").must(e.site, http.StatusUnprocessableEntity, "give a reason")

	say("2", "said-good", "meant for the counter").must(e.site, http.StatusSeeOther)
	say("1", "said-again", "the surface is torn").must(e.site, http.StatusSeeOther)
	result := e.aoi.get(e.aoiShot)
	result.must(e.site, http.StatusOK, "<b>1</b> good", "<b>1</b> again", `class="again" href="`+e.aoiShot+`/slices/1"`, ">1*</text>", ">2*</text>", "instructor: the surface is torn")
	result.lacks(e.site, "too long") // what it would have failed for
	e.aoi.get(e.aoiShot+"/slices/1").must(e.site, http.StatusOK, "the surface is torn", "Measured: good", "Slice 1: again")
	e.aoi.get(e.aoiShot+"/slices/1").lacks(e.site, "as-measured")
	e.teacher.get(e.aoiShot+"/slices/2").must(e.site, http.StatusOK, "Measured: again", `value="as-measured"`)
	if paper := zippedFile(t, e.teacher.get("/files/class.zip").body, "trainees/01-aoi-test.html"); !strings.Contains(paper, "the instructor: the surface is torn (measured: good)") {
		t.Error("the trainee's page does not have the instructor's word")
	}
	if pieces := zippedFile(t, e.teacher.get("/files/class.zip").body, "pieces.csv"); !strings.Contains(pieces, ",fail,pass,") || !strings.Contains(pieces, ",pass,fail,") {
		t.Errorf("the table lacks the verdicts said and measured:\n%s", pieces)
	}

	say("1", "as-measured", "").must(e.site, http.StatusSeeOther)
	say("2", "as-measured", "").must(e.site, http.StatusSeeOther)
	e.aoi.get(e.aoiShot).lacks(e.site, "*</text>", "torn")
	e.aoi.get(e.aoiShot+"/slices/2").must(e.site, http.StatusOK, "Slice 2: again")
	e.teacher.get(e.aoiShot+"/slices/2").lacks(e.site, `value="as-measured"`)
}
