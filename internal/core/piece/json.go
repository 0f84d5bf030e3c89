package piece

import (
	"encoding/json"
	"fmt"

	"github.com/tidwall/gjson"

	"netagauge/internal/core/phrase"
)

// plain is a piece without its methods.
type plain Piece

// MarshalJSON has every measure that is known by its names in files, and leaves
// out all of a piece that was not measured, where a zero would read as a number.
func (p Piece) MarshalJSON() ([]byte, error) {
	if p.State != Measured {
		return json.Marshal(struct {
			Number  int          `json:"number"`
			State   State        `json:"state"`
			Reason  string       `json:"reason,omitempty"`
			Says    phrase.Text  `json:"reason_parts,omitempty"`
			Outline [][2]float64 `json:"outline_mm,omitempty"`
			Slices  int          `json:"slices,omitempty"`
		}{p.Number, p.State, p.Reason, p.Says, p.Outline, p.Slices})
	}
	out, err := json.Marshal(plain(p))
	if err != nil {
		return nil, err
	}
	out = out[:len(out)-1] // the closing brace
	for _, m := range Measures {
		if out, err = m.appendJSON(out, *m.Of(&p)); err != nil {
			return nil, err
		}
	}
	return append(out, '}'), nil
}

func (m *Measure) appendJSON(out []byte, v Value) ([]byte, error) {
	if !v.Known {
		return out, nil
	}
	for _, f := range []struct {
		name  string
		value any
		there bool
	}{
		{m.Column(), v.X, true}, {m.ColumnU(), v.U, v.U != 0},
		{m.File + "_source", v.Source, v.Source != ""}, {m.File + "_estimate", true, v.Estimate},
	} {
		if !f.there {
			continue
		}
		text, err := json.Marshal(f.value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		out = fmt.Appendf(out, ",%q:%s", f.name, text)
	}
	return out, nil
}

// UnmarshalJSON reads what MarshalJSON writes, rounded or not.
func (p *Piece) UnmarshalJSON(text []byte) error {
	if err := json.Unmarshal(text, (*plain)(p)); err != nil {
		return err
	}
	fields := map[string]string{} // found without reading the outline once more
	gjson.ParseBytes(text).ForEach(func(name, value gjson.Result) bool {
		fields[name.Str] = value.Raw
		return true
	})
	for _, m := range Measures {
		*m.Of(p) = Value{}
		if text, known := fields[m.Column()]; !known || text == "null" {
			continue
		}
		v := Value{Known: true}
		for name, into := range map[string]any{m.Column(): &v.X, m.ColumnU(): &v.U, m.File + "_source": &v.Source, m.File + "_estimate": &v.Estimate} {
			if text, there := fields[name]; there {
				if err := json.Unmarshal([]byte(text), into); err != nil {
					return fmt.Errorf("piece %d: %s: %w", p.Number, name, err)
				}
			}
		}
		*m.Of(p) = v
	}
	return nil
}
