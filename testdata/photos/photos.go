// Package photos embeds the sample trays, for the demonstration and the tests.
// They are rendered pictures with exact truth; README.md beside them says how
// they were made. It holds bytes only.
package photos

import "embed"

// Files holds NAME.jpg and NAME.truth.json of each sample tray.
//
//go:embed *.jpg *.truth.json
var Files embed.FS
