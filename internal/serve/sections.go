package serve

import (
	"strconv"
	"strings"

	"netagauge/internal/judge/plan"
)

// maxSections is how many sections an address may have; a block that fills the largest
// field has some thirty after thinning.
const maxSections = 200

// sectionsOf writes a block's sections, mm, into an address: the six numbers of each.
func sectionsOf(stations []plan.Station) string {
	var out []string
	for _, s := range stations {
		var numbers []string
		for _, v := range []float64{s.X, s.Near, s.Far, s.NearHeight, s.Height, s.FarHeight} {
			numbers = append(numbers, strconv.FormatFloat(v, 'f', 2, 64))
		}
		out = append(out, strings.Join(numbers, "_"))
	}
	return strings.Join(out, "~")
}

// readSections reads them back; what is no block plan.NewBlock refuses.
func readSections(text string) ([]plan.Station, error) {
	parts := strings.Split(text, "~")
	if len(parts) > maxSections {
		return nil, errSizes
	}
	var out []plan.Station
	for _, part := range parts {
		var v [6]float64
		numbers := strings.Split(part, "_")
		if len(numbers) != len(v) {
			return nil, errSizes
		}
		for i, n := range numbers {
			var err error
			if v[i], err = strconv.ParseFloat(n, 64); err != nil {
				return nil, errSizes
			}
		}
		out = append(out, plan.Station{X: v[0], Near: v[1], Far: v[2], NearHeight: v[3], Height: v[4], FarHeight: v[5]})
	}
	return out, nil
}
