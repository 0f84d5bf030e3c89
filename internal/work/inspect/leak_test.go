//go:build matprofile

package inspect

import (
	"os"
	"testing"

	"netagauge/internal/see/vision"
)

func TestMain(m *testing.M) { os.Exit(vision.FailOnOpenMats(m.Run())) }
