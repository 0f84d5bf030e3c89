package piece

import "netagauge/internal/core/phrase"

// Count is how many slices got which verdict, and how many lie there without one:
// a touching heap as many as it holds at the least. It heads everything that
// people read of a tray or of a person's trays, in one sentence.
type Count struct{ Good, Close, Again, NotMeasured int }

// Add counts a measured slice.
func (c *Count) Add(v Verdict) {
	switch v {
	case Pass:
		c.Good++
	case Fail:
		c.Again++
	default:
		c.Close++
	}
}

// Plus is both together.
func (c Count) Plus(d Count) Count {
	return Count{c.Good + d.Good, c.Close + d.Close, c.Again + d.Again, c.NotMeasured + d.NotMeasured}
}

// Measured and Slices are how many have numbers, and how many there are.
func (c Count) Measured() int { return c.Good + c.Close + c.Again }
func (c Count) Slices() int   { return c.Measured() + c.NotMeasured }

// Says is the sentence: "7 slices: 4 good, 1 close, 1 again, 1 not measured". What
// there is none of is left out, but for the good ones.
func (c Count) Says() phrase.Text {
	says := phrase.Of("count-slices", float64(c.Slices())).And(phrase.Of("count-good", float64(c.Good)))
	for _, part := range []struct {
		key string
		n   int
	}{{"count-close", c.Close}, {"count-again", c.Again}, {"count-not-measured", c.NotMeasured}} {
		if part.n > 0 {
			says = says.And(phrase.Of(part.key, float64(part.n)))
		}
	}
	return says
}

// Count sums up the tray's slices.
func (t Tray) Count() Count {
	var c Count
	for _, p := range t.MeasuredPieces() {
		c.Add(p.Verdict)
	}
	for _, p := range t.NotMeasured() {
		c.NotMeasured += t.Hidden(p)
	}
	return c
}

// Remedy is what to do about a state that has no numbers, by the key of its words.
func (s State) Remedy() string { return "remedy-" + string(s) }

// Missing names the slices without numbers and says what to do about them; empty
// where all are measured.
func (t Tray) Missing() phrase.Text {
	byState := map[State][]float64{}
	var order []State
	for _, p := range t.NotMeasured() {
		if byState[p.State] == nil {
			order = append(order, p.State)
		}
		byState[p.State] = append(byState[p.State], float64(p.Number))
	}
	if len(order) == 0 {
		return nil
	}
	says := phrase.Of("remedy-incomplete")
	for _, s := range order {
		says = says.And(phrase.Of(s.Remedy(), byState[s]...))
	}
	return says.And(phrase.Of("remedy-photo"))
}
