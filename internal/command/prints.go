package command

import (
	"os"
	"path/filepath"

	"netagauge/internal/core/phrase"
	"netagauge/internal/see/printscale"
)

// PrintsFile is where the verified scales of a kitchen's mats are kept. The
// environment's NETAGAUGE_PRINTS names another file.
func PrintsFile() (string, error) {
	if p := os.Getenv("NETAGAUGE_PRINTS"); p != "" {
		return p, nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", phrase.Wrong("ran-no-settings").For(err)
	}
	return filepath.Join(dir, "netagauge", "prints.toml"), nil
}

// loadPrints reads the verified scales; where there is no folder for settings,
// there are none.
func loadPrints() (printscale.Store, error) {
	path, err := PrintsFile()
	if err != nil {
		return printscale.Store{}, nil
	}
	return printscale.Load(path)
}
