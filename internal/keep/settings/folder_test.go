package settings_test

import (
	"testing"

	"netagauge/internal/keep/settings"
	"netagauge/internal/keep/settings/settingstest"
)

func TestFolder(t *testing.T) {
	settingstest.Run(t, func(t *testing.T) (settings.Texts, func() settings.Texts) {
		dir := t.TempDir()
		open := func() settings.Texts { return settings.InFolder(dir) }
		return open(), open
	})
}
