//go:build matprofile

package vision

import (
	"fmt"
	"os"

	"gocv.io/x/gocv"
)

// FailOnOpenMats turns a test run's exit code into a failure when a Mat was not
// closed, and says where it was made. It is built with the tag matprofile only.
func FailOnOpenMats(code int) int {
	n := gocv.MatProfile.Count()
	if n == 0 {
		return code
	}
	fmt.Fprintf(os.Stderr, "%d Mats were not closed:\n", n)
	if err := gocv.MatProfile.WriteTo(os.Stderr, 1); err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	return 1
}
