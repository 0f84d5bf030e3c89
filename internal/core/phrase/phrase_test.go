package phrase

import "testing"

func TestIn(t *testing.T) {
	text := Of("off", 14, 66, 80).And(Of("turn", 45, 39), Of("pieces", 3, 5))
	for _, c := range []struct {
		name  string
		words map[string]string
		want  string
		ok    bool
	}{
		{"one order", map[string]string{"off": "%.0f short (%.0f of %.0f)", "turn": ": from %.0f° to %.0f°", "pieces": "; pieces %s"}, "14 short (66 of 80): from 45° to 39°; pieces 3, 5", true},
		{"another order", map[string]string{"off": "%.0[3]f wanted, %.0[2]f is, %.0[1]f short", "turn": ", to %.0[2]f° from %.0[1]f°", "pieces": ", %s"}, "80 wanted, 66 is, 14 short, to 39° from 45°, 3, 5", true},
		{"a clause without words", map[string]string{"off": "x"}, "", false},
	} {
		if got, ok := text.In(c.words); got != c.want || ok != c.ok {
			t.Errorf("%s: %q, %v; want %q, %v", c.name, got, ok, c.want, c.ok)
		}
	}
}

// And leaves the text it is called on as it is.
func TestAnd(t *testing.T) {
	base := append(make(Text, 0, 8), Part{Key: "a"})
	base.And(Of("b"))
	if c := base.And(Of("c")); c[1].Key != "c" || len(base) != 1 {
		t.Errorf("%v after %v", c, base)
	}
}
