package calibration

import "embed"

// Eye are slices to train the eye on where a class has none yet: pictures of rendered
// slices, no real fish, cut out by package cutout, and cards.json, which names each with
// its species and, from the renderer's own outline, its measures (exact). A test of
// internal/serve writes them from testdata/photos (-update).
//
//go:embed eye/cards.json eye/*.jpg
var Eye embed.FS
