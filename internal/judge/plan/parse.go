package plan

import (
	"fmt"
	"strconv"
	"strings"
)

// ParseStations reads the block's sections as a person types them: place,
// width and height in mm, "0:42x16,120:58x22,240:60x20", from the tail on.
func ParseStations(s string) ([]Station, error) {
	var out []Station
	for _, part := range strings.Split(s, ",") {
		place, section, ok1 := strings.Cut(strings.TrimSpace(part), ":")
		width, height, ok2 := strings.Cut(section, "x")
		v, err := numbers(place, width, height)
		if !ok1 || !ok2 || err != nil {
			return nil, fmt.Errorf("%q is not PLACE:WIDTHxHEIGHT in mm, as in 120:58x22", part)
		}
		out = append(out, At(v[0], v[1], v[2]))
	}
	return out, nil
}

// ParseHeights reads the block's height, "20", or its height at several places
// from the tail on, "0:16,120:22", in mm.
func ParseHeights(s string) ([]HeightAt, error) {
	if v, err := numbers(s); err == nil {
		return []HeightAt{{0, v[0]}}, nil
	}
	var out []HeightAt
	for _, part := range strings.Split(s, ",") {
		place, height, ok := strings.Cut(strings.TrimSpace(part), ":")
		v, err := numbers(place, height)
		if !ok || err != nil {
			return nil, fmt.Errorf("%q is not PLACE:HEIGHT in mm, as in 120:22", part)
		}
		out = append(out, HeightAt{v[0], v[1]})
	}
	return out, nil
}

func numbers(fields ...string) ([]float64, error) {
	var out []float64
	for _, f := range fields {
		v, err := strconv.ParseFloat(strings.TrimSpace(f), 64)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}
