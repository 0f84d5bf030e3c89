package plan

import (
	"cmp"
	"slices"
)

// Share is what one block gives to an order of slices.
type Share struct {
	Block  int     // its place among the blocks, from 0
	Slices int     // its first ones
	Length float64 // mm of the block, from the end where cutting starts, that they take
	Whole  float64 // g of the block beyond, which stays uncut
}

// Fill takes slices from the blocks that serve the most of their fish first, and
// of the last one no more than is wanted; short is how many are missing then.
func Fill(plans []Plan, want int) (shares []Share, short int) {
	order := make([]int, len(plans))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(plans[b].Yield, plans[a].Yield) })
	for _, i := range order {
		p := plans[i]
		n := min(want, len(p.Slices))
		if n == 0 {
			continue
		}
		share := Share{Block: i, Slices: n, Length: p.block.Length()}
		if n < len(p.Slices) {
			last := p.planes[p.Slices[n-1].Number]
			_, reach := p.block.spread(last)
			share.Length = min(reach, share.Length)
			share.Whole = p.Density * (p.block.Volume() - p.block.massBefore(knife{90, 90}.at(p.block.point(share.Length, 0, false))).Volume) / 1000
		}
		shares, want = append(shares, share), want-n
	}
	return shares, want
}
