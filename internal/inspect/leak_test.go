//go:build matprofile

package inspect

import (
	"fmt"
	"os"
	"testing"

	"gocv.io/x/gocv"
)

// TestMain demands that every Mat made by the tests was closed.
func TestMain(m *testing.M) {
	code := m.Run()
	if n := gocv.MatProfile.Count(); n != 0 {
		fmt.Fprintf(os.Stderr, "%d Mats were not closed:\n", n)
		gocv.MatProfile.WriteTo(os.Stderr, 1)
		code = 1
	}
	os.Exit(code)
}
