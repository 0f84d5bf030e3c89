package report

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"unicode"

	"netagauge/internal/core/piece"
	"netagauge/internal/core/uncertainty"
)

// rounded returns a deep copy of r with every number rounded to the digits that
// files have of its unit, and every string passed through clean. A number that is not
// finite is an error that names its place: nothing is written rather than a wrong or
// missing number.
func rounded(r piece.Tray, clean func(string) string) (piece.Tray, error) {
	return copier{clean, true}.tray(r)
}

// readable is rounded without the rounding: what people read is rounded where it is
// written, once, from the full value, which rounding twice could differ from.
func readable(r piece.Tray) (piece.Tray, error) { return copier{Printable, false}.tray(r) }

func (c copier) tray(r piece.Tray) (piece.Tray, error) {
	v, err := c.copy(reflect.ValueOf(r), "")
	if err != nil {
		return piece.Tray{}, fmt.Errorf("report on %q: %w", r.Photo.File, err)
	}
	return v.Interface().(piece.Tray), nil
}

// Rounded are the pieces of a photo with every number as files have it.
func Rounded(file string, pieces []piece.Piece) ([]piece.Piece, error) {
	r, err := rounded(piece.Tray{Photo: piece.Photo{File: file}, Pieces: pieces}, asIs)
	return r.Pieces, err
}

type copier struct {
	clean  func(string) string
	rounds bool
}

// copy walks any value built of structs, pointers, slices, arrays and plain
// values. name is the JSON name that numbers below it go by.
func (c copier) copy(v reflect.Value, name string) (reflect.Value, error) {
	out := reflect.New(v.Type()).Elem()
	var err error
	switch v.Kind() {
	case reflect.Float64:
		if err = finite(v.Float(), name); err == nil {
			out.SetFloat(c.as(name, v.Float()))
		}
	case reflect.String:
		out.SetString(c.clean(v.String()))
	case reflect.Struct:
		err = c.fields(out, v)
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			err = c.into(out.Elem(), v.Elem(), name)
		}
	case reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
			err = c.items(out, v, name)
		}
	case reflect.Array:
		err = c.items(out, v, name)
	default:
		out.Set(v)
	}
	return out, err
}

func (c copier) as(name string, v float64) float64 {
	if !c.rounds {
		return v
	}
	return roundAs(name, v)
}

func (c copier) into(out, v reflect.Value, name string) error {
	e, err := c.copy(v, name)
	if err == nil {
		out.Set(e)
	}
	return err
}

// fields copies a struct. The measures of a piece and what a fault measured have
// the digits of their own unit.
func (c copier) fields(out, v reflect.Value) error {
	for i := range v.NumField() {
		if v.Field(i).Type() == reflect.TypeFor[piece.Value]() {
			out.Field(i).Set(v.Field(i))
			continue
		}
		tag, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		if err := c.into(out.Field(i), v.Field(i), tag); err != nil {
			return err
		}
	}
	switch p := out.Addr().Interface().(type) {
	case *piece.Piece:
		return c.measures(p)
	case *piece.Fault:
		if m := p.Of(); m != nil && c.rounds {
			p.Measured = uncertainty.Round(p.Measured, m.Unit.Digits)
		}
	}
	return nil
}

func (c copier) measures(p *piece.Piece) error {
	for _, m := range piece.Measures {
		v := m.Of(p)
		for _, x := range []float64{v.X, v.U} {
			if err := finite(x, m.Column()); err != nil {
				return err
			}
		}
		if v.Source = c.clean(v.Source); c.rounds {
			v.X, v.U = uncertainty.Round(v.X, m.Unit.Digits), uncertainty.RoundUp(v.U, m.Unit.Digits)
		}
	}
	return nil
}

func (c copier) items(out, v reflect.Value, name string) error {
	for i := range v.Len() {
		err := c.into(out.Index(i), v.Index(i), name)
		switch {
		case err == nil:
		case v.Kind() == reflect.Slice && v.Index(i).Kind() == reflect.Struct:
			return fmt.Errorf("%s, item %d: %w", name, i+1, err)
		default:
			return err
		}
	}
	return nil
}

// finite refuses what is no ordinary number.
func finite(v float64, name string) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s is not a finite number; this is a mistake in the program, please report it", name)
	}
	return nil
}

// roundAs rounds what is no measure of a piece by the unit that its name ends in:
// to 0.01 mm, g and °, 0.1 mm², otherwise to 0.001.
func roundAs(name string, v float64) float64 {
	d := 3
	switch {
	case strings.HasSuffix(name, "_mm2"):
		d = piece.MM2.Digits
	case strings.HasSuffix(name, "_mm"), strings.HasSuffix(name, "_g"), strings.HasSuffix(name, "_deg"):
		d = piece.MM.Digits
	case name == "u":
		return uncertainty.RoundUp(v, 4)
	case name == "print_scale", name == "part":
		d = 4
	case name == "measured", name == "low", name == "high":
		d = 9 // fields knows the unit; rounding twice could differ from the measure
	}
	return uncertainty.Round(v, d)
}

// Printable makes a text from outside, such as a file's name, harmless wherever it
// is shown: every character that does not print, among them terminal escapes and
// marks that turn the direction of writing, becomes its escape in the manner of Go
// and JSON.
func Printable(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case unicode.IsPrint(r):
			b.WriteRune(r)
		case r < 0x10000:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			fmt.Fprintf(&b, `\U%08x`, r)
		}
	}
	return b.String()
}

func asIs(s string) string { return s }
