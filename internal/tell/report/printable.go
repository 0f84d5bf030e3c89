package report

// Printable makes a text from outside, such as a file's name, harmless on a
// terminal and on a page: what does not print becomes its escape.
func Printable(s string) string { return printable(s) }
