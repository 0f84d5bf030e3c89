package keeping

import (
	"testing"
	"time"

	"netagauge/internal/core/fatal"
)

func TestRules(t *testing.T) {
	r := Rules{PhotoDays: 30, ExamMonths: 12, PersonMonths: 24, AtOnce: true, Since: "2026-11-26"}
	text, err := r.TOML()
	fatal.If(t, err)
	if got, err := Parse(text); err != nil || got != r {
		t.Errorf("%+v, %v", got, err)
	}
	if got, err := Parse(""); err != nil || got != (Rules{}) || got.Acts(time.Now()) {
		t.Errorf("no rules are %+v, %v", got, err)
	}
	for _, bad := range []string{"photo_days = -1", "photo_days = 1", "photo_days = 100000", "exam_months = -2", "person_months = 999", "since = \"yesterday\"", "photo_day = 3"} {
		if _, err := Parse(bad); err == nil {
			t.Errorf("%s is taken", bad)
		}
	}
	day := func(d, h int) time.Time { return time.Date(2026, 11, d, h, 0, 0, 0, time.Local) }
	for at, acts := range map[time.Time]bool{day(26, 12): false, day(27, 23): false, day(28, 0): true, day(29, 5): true} {
		if r.Acts(at) != acts {
			t.Errorf("at %v: %v", at, !acts)
		}
	}
	now := day(30, 12)
	if got := r.PhotosBefore(now); !got.Equal(now.AddDate(0, 0, -30)) {
		t.Error(got)
	}
	if got := r.ExamsBefore(now); !got.Equal(now.AddDate(-1, 0, 0)) {
		t.Error(got)
	}
	if got := r.PeopleBefore(now); !got.Equal(now.AddDate(-2, 0, 0)) {
		t.Error(got)
	}
	for _, other := range []Rules{{31, 12, 24, true, r.Since}, {30, 13, 24, true, r.Since}, {30, 12, 25, true, r.Since}} {
		if r.Terms() == other.Terms() {
			t.Errorf("%+v are the same terms", other)
		}
	}
	if since := (Rules{30, 12, 24, true, "2026-12-01"}); since.Terms() != r.Terms() {
		t.Error("the same dates are asked about once more")
	}
}
