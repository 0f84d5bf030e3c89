//go:build matprofile

package vision

import (
	"os"
	"testing"
)

func TestMain(m *testing.M) { os.Exit(FailOnOpenMats(m.Run())) }
