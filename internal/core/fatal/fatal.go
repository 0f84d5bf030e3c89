// Package fatal ends a test at an error that the test is not about.
package fatal

// If ends the test where there is one. T is a test of any kind, of package testing or
// another's.
func If(t interface {
	Helper()
	Fatal(why ...any)
}, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
