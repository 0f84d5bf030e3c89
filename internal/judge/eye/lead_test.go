package eye

import (
	"math"
	"testing"
	"time"
)

// course has classes a day apart, six guesses before each, of which so many are right.
func course(right []int, grades []float64) (guesses []Guess, classes []Class) {
	first := time.Date(2026, 11, 2, 17, 0, 0, 0, time.Local)
	for i, grade := range grades {
		day := first.AddDate(0, 0, i)
		classes = append(classes, Class{day, grade})
		for n := range 6 {
			g := Guess{Kind: Kind{"tuna", "length"}, Within: 1, At: day.Add(time.Duration(n-24) * time.Hour)} // on the evening before
			if n >= right[i] {
				g.Guess = 5
			}
			guesses = append(guesses, g)
		}
	}
	return guesses, classes
}

// A grade that follows the guesses before it, and guesses that follow the grade before
// them, beside a trend that both share.
func TestLeads(t *testing.T) {
	ups := []int{2, 5, 1, 4, 6, 2, 5, 3, 6, 4}
	var follow []float64
	for i, n := range ups {
		follow = append(follow, 50+float64(i)+4*float64(n)+0.3*float64(i*i%3))
	}
	got := Leads(course(ups, follow))
	if got.Says() != "lead-eye" || got.Classes != 10 || got.Eye.Value < 0.95 {
		t.Errorf("the hand follows: %s, %+v", got.Says(), got)
	}
	grades := []float64{60, 75, 55, 70, 80, 62, 74, 66, 81, 70}
	after := []int{3}
	for _, g := range grades[:9] {
		after = append(after, int(math.Round((g-50)/5)))
	}
	if got := Leads(course(after, grades)); got.Says() != "lead-hand" || got.Hand.Value < 0.95 {
		t.Errorf("the eye follows: %s, %+v", got.Says(), got)
	}
	steady, rising := []int{1, 2, 2, 3, 4, 4, 5, 5, 6, 6}, []float64{50, 53, 61, 59, 66, 72, 70, 78, 84, 82}
	if got := Leads(course(steady, rising)); got.Says() != "lead-open" {
		t.Errorf("both only rise: %s, %+v", got.Says(), got)
	}
}

// Few classes, classes with too few guesses before them, and what never changes.
func TestLeadsTooFew(t *testing.T) {
	guesses, classes := course([]int{2, 5, 1, 4, 6, 2}, []float64{60, 75, 55, 70, 80, 62})
	if got := Leads(guesses, classes); got.Classes != 6 || !got.EyeOK || got.HandOK {
		t.Errorf("six classes, five before one: %+v", got)
	}
	if got := Leads(guesses[2:], classes); got.Classes != 5 || got.Says() != "lead-few" {
		t.Errorf("four guesses before the first: %+v", got)
	}
	if got := Leads(course([]int{3, 3, 3, 3, 3, 3, 3}, []float64{60, 75, 55, 70, 80, 62, 66})); got.Classes != 7 || got.Says() != "lead-few" {
		t.Errorf("an eye that stands still: %+v", got)
	}
	if got := Leads(nil, classes); got.Classes != 0 {
		t.Errorf("without a guess: %+v", got)
	}
	late := classes[0].On
	for i := range guesses[:6] {
		guesses[i].At = late // on the day of the class itself
	}
	if got := Leads(guesses, classes); got.Classes != 5 {
		t.Errorf("guesses of the class's own day count before it: %+v", got)
	}
}
