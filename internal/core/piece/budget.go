package piece

import (
	"strings"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/uncertainty"
)

// Budget is a weight's budget as files have it, each remedy in English too.
func Budget(shares []uncertainty.Share) []uncertainty.Share {
	for i, s := range shares {
		if s.RemedyKey != "" {
			shares[i].Remedy = phrase.English().Must(phrase.Of(s.RemedyKey))
		}
	}
	return shares
}

// SourceKey is the key of the words for what a share of a budget comes from.
func SourceKey(source string) string { return "source-" + strings.ReplaceAll(source, " ", "-") }
