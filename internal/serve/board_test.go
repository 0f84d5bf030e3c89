package serve

import (
	"net/http"
	"testing"
)

// Slices that could not be measured count on the class's page too: a trainee who hides
// them is not one who does fine.
func TestBoardCountsTheUnmeasured(t *testing.T) {
	e := newEverybody(t)
	e.teacher.get("/class").must(e.site, http.StatusOK, "4 slices: 1 good, 1 again, 2 not measured")
}
