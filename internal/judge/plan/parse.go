package plan

import (
	"netagauge/internal/core/phrase"
	"strconv"
	"strings"
)

// ParseStations reads the block's sections as a person types them: place, width
// and height in mm, "0:42x16,120:58x22,240:60x20", from the tail on. Heights that
// differ from side to side are NEAR/FAR or NEAR/MIDDLE/FAR: "0:70x4/13/22".
func ParseStations(s string) ([]Station, error) {
	var out []Station
	for _, part := range strings.Split(s, ",") {
		place, section, ok1 := strings.Cut(strings.TrimSpace(part), ":")
		width, height, ok2 := strings.Cut(section, "x")
		v, err := numbers(place, width)
		h, errHeight := parseHeight(height)
		if !ok1 || !ok2 || err != nil || errHeight != nil {
			return nil, phrase.Wrong("block-form-stations", strconv.Quote(part))
		}
		out = append(out, Sloping(v[0], v[1], h.Near, h.Middle, h.Far))
	}
	return out, nil
}

// ParseHeights reads the block's height, "20" or "4/13/22", or its height at
// several places from the tail on, "0:16,120:22", in mm.
func ParseHeights(s string) ([]HeightAt, error) {
	if h, err := parseHeight(s); err == nil {
		return []HeightAt{h}, nil
	}
	var out []HeightAt
	for _, part := range strings.Split(s, ",") {
		place, height, ok := strings.Cut(strings.TrimSpace(part), ":")
		v, err := numbers(place)
		h, errHeight := parseHeight(height)
		if !ok || err != nil || errHeight != nil {
			return nil, phrase.Wrong("block-form-heights", strconv.Quote(part))
		}
		h.X = v[0]
		out = append(out, h)
	}
	return out, nil
}

// parseHeight reads one height, or two or three from the near side to the far.
func parseHeight(s string) (HeightAt, error) {
	v, err := numbers(strings.Split(s, "/")...)
	switch {
	case err != nil:
		return HeightAt{}, err
	case len(v) == 1:
		return HeightAt{Near: v[0], Middle: v[0], Far: v[0]}, nil
	case len(v) == 2:
		return HeightAt{Near: v[0], Middle: (v[0] + v[1]) / 2, Far: v[1]}, nil
	case len(v) == 3:
		return HeightAt{Near: v[0], Middle: v[1], Far: v[2]}, nil
	}
	return HeightAt{}, phrase.Wrong("block-form-height", strconv.Quote(s))
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
