// Package coverage makes "95 %" mean 95 % in every group of slices that the
// program itself can tell apart. What the linear budget of a measure (GUM, JCGM
// 100:2008) leaves open is multiplied by a factor per group, measured on slices
// whose truth is known; other slices show whether it holds. Errors and
// uncertainties are in the unit of the measure. It sees no photo and no tray.
package coverage

import "netagauge/internal/core/piece"

// Share of the slices whose truth an interval shall hold.
const Share = 0.95

// Group is a measure of slices that were seen in one way. Every slice falls into
// one group for each of the four measures.
type Group struct {
	Measure *piece.Measure
	Seen    string
	holds   func(piece.Seen) bool
}

// Groups are all there are: ten, listed before any of them was measured. Length,
// width and area hang on how the lean of the walls is known, which their budget
// has in it; a weight hangs on the lean itself.
var Groups = []Group{
	{piece.Length, "one photo", one},
	{piece.Length, "two photos", two},
	{piece.Width, "one photo", one},
	{piece.Width, "two photos", two},
	{piece.Area, "one photo", one},
	{piece.Area, "two photos", two},
	{piece.Weight, "one photo, lay told", func(s piece.Seen) bool { return one(s) && s.LayTold }},
	{piece.Weight, "one photo, upright walls", func(s piece.Seen) bool { return one(s) && !s.LayTold && !s.Leans }},
	{piece.Weight, "one photo, leaning walls", func(s piece.Seen) bool { return one(s) && !s.LayTold && s.Leans }},
	{piece.Weight, "two photos", two},
}

func one(s piece.Seen) bool { return !s.Two }
func two(s piece.Seen) bool { return s.Two }

// GroupOf is the group that a measure of a slice falls into; false for a measure
// that has no groups.
func GroupOf(m *piece.Measure, s piece.Seen) (Group, bool) {
	for _, g := range Groups {
		if g.Measure == m && g.holds(s) {
			return g, true
		}
	}
	return Group{}, false
}

// Two reports whether the group's slices were seen by two photos.
func (g Group) Two() bool { return g.holds(piece.Seen{Two: true}) }

// named is the group of a measure and a way of being seen, as files have them.
func named(measure, seen string) (Group, bool) {
	for _, g := range Groups {
		if g.Measure.Key == measure && g.Seen == seen {
			return g, true
		}
	}
	return Group{}, false
}
