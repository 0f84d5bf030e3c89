package report

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"unicode"
)

// rounded returns a deep copy of r with every number rounded to the digits of
// its unit, which the JSON name's ending tells (the rule of the format), and
// every string passed through clean. Every output is made from such a copy, so
// all of them agree. A number that is not finite is an error that names its
// place: nothing is written rather than a wrong or missing number.
func rounded(r Report, clean func(string) string) (Report, error) {
	c := copier{clean: clean}
	v, err := c.copy(reflect.ValueOf(r), "")
	if err != nil {
		return Report{}, fmt.Errorf("report on %q: %w", r.Photo.File, err)
	}
	out := v.Interface().(Report)
	for i := range out.Pieces {
		roundFaults(out.Pieces[i].Faults)
	}
	return out, nil
}

// roundFaults gives a fault the digits of the measure it is about, so that it
// reads as the measure does.
func roundFaults(faults []Fault) {
	for i, f := range faults {
		d := 3
		switch f.What {
		case "length", "width", "weight":
			d = 2
		}
		faults[i].Measured = roundTo(f.Measured, d)
	}
}

type copier struct{ clean func(string) string }

// copy walks any value built of structs, pointers, slices, arrays and plain
// values. name is the JSON name that numbers below it go by.
func (c copier) copy(v reflect.Value, name string) (reflect.Value, error) {
	out := reflect.New(v.Type()).Elem()
	switch v.Kind() {
	case reflect.Float64:
		f := v.Float()
		if !finite(f) {
			return out, fmt.Errorf("%s is not a finite number; this is a mistake in the program, please report it", name)
		}
		out.SetFloat(roundAs(name, f))
	case reflect.String:
		out.SetString(c.clean(v.String()))
	case reflect.Struct:
		for i := range v.NumField() {
			tag, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			f, err := c.copy(v.Field(i), tag)
			if err != nil {
				return out, err
			}
			out.Field(i).Set(f)
		}
	case reflect.Pointer:
		if v.IsNil() {
			return out, nil
		}
		e, err := c.copy(v.Elem(), name)
		if err != nil {
			return out, err
		}
		out.Set(reflect.New(v.Type().Elem()))
		out.Elem().Set(e)
	case reflect.Slice:
		if v.IsNil() {
			return out, nil
		}
		out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		return out, c.items(out, v, name)
	case reflect.Array:
		return out, c.items(out, v, name)
	default:
		out.Set(v)
	}
	return out, nil
}

func (c copier) items(out, v reflect.Value, name string) error {
	for i := range v.Len() {
		e, err := c.copy(v.Index(i), name)
		if err != nil {
			if v.Kind() == reflect.Slice && v.Index(i).Kind() == reflect.Struct {
				return fmt.Errorf("%s, item %d: %w", name, i+1, err)
			}
			return err
		}
		out.Index(i).Set(e)
	}
	return nil
}

// roundAs rounds to 0.01 mm, 0.1 mm², 0.01 g, 0.01°, otherwise to 0.001. An
// expanded uncertainty is rounded up, so that a written interval never claims
// more than was known (GUM, JCGM 100:2008, 7.2.6 allows it).
func roundAs(name string, v float64) float64 {
	d := 3
	switch {
	case strings.HasSuffix(name, "_mm2"):
		d = 1
	case strings.HasSuffix(name, "_mm"), strings.HasSuffix(name, "_g"), strings.HasSuffix(name, "_deg"):
		d = 2
	case name == "print_scale", name == "u", name == "part":
		d = 4
	case name == "measured", name == "low", name == "high":
		d = 9 // roundFaults knows the unit; rounding twice could differ from the measure
	}
	if strings.Contains(name, "_u_") || strings.HasSuffix(name, "_u") || name == "u" {
		return roundUpTo(v, d)
	}
	return roundTo(v, d)
}

// roundTo rounds half away from zero and never gives -0. A value too large to
// have such digits is returned as it is.
func roundTo(v float64, digits int) float64 {
	scale := math.Pow10(digits)
	if math.Abs(v)*scale > 1e15 {
		return v
	}
	return math.Round(v*scale)/scale + 0
}

// roundUpTo rounds up; the allowance keeps 0.3 from becoming 0.4 for what its
// binary form has too much.
func roundUpTo(v float64, digits int) float64 {
	scale := math.Pow10(digits)
	if math.Abs(v)*scale > 1e15 {
		return v
	}
	return math.Ceil(v*scale-1e-6)/scale + 0
}

// printable makes a string harmless wherever it is shown: every character that
// does not print, among them terminal escapes and marks that turn the direction
// of writing, becomes its escape in the manner of Go and JSON.
func printable(s string) string {
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
