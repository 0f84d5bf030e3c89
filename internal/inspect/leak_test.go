//go:build matprofile

package inspect

import (
	"os"
	"testing"

	"netagauge/internal/vision"
)

func TestMain(m *testing.M) { os.Exit(vision.FailOnOpenMats(m.Run())) }
