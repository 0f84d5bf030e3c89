package standard

import (
	"errors"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"netagauge/internal/core/phrase"
)

// placed puts before each contradiction the line of the key that it names.
func placed(err error, data []byte) error {
	many, ok := err.(interface{ Unwrap() []error })
	if !ok {
		var one *phrase.Error
		if !errors.As(err, &one) || len(one.Says[0].Names) == 0 {
			return err
		}
		line := lineOf(data, one.Says[0].Names[0])
		if line == 0 {
			return err
		}
		return &phrase.Error{Says: phrase.Of("at-line", float64(line)).And(one.Says), Cause: err}
	}
	var all []error
	for _, e := range many.Unwrap() {
		all = append(all, placed(e, data))
	}
	return errors.Join(all...)
}

// lineOf is the line where a key such as width_mm.aim stands, or else its table;
// 0 for one that the text leaves out.
func lineOf(data []byte, key string) int {
	var p unstable.Parser
	p.Reset(data)
	table, line := "", 0
	for p.NextExpression() {
		x := p.Expression()
		at := dotted(x.Key())
		switch x.Kind {
		case unstable.Table:
			table = at + "."
		case unstable.KeyValue:
			at = table + at
		default:
			continue
		}
		if at != key && !strings.HasPrefix(key, at+".") {
			continue
		}
		keys := x.Key()
		keys.Next()
		line = p.Shape(keys.Node().Raw).Start.Line
		if at == key {
			break
		}
	}
	return line
}

func dotted(keys unstable.Iterator) string {
	var out []string
	for keys.Next() {
		out = append(out, string(keys.Node().Data))
	}
	return strings.Join(out, ".")
}
