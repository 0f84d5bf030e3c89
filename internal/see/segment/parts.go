package segment

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/core/solid"
)

// Slices that lie against each other, or so near that the camera's smear joins
// them, make one patch of the mask. It is parted where it is certain: where mat
// shows between them, or where two notches face each other across a short neck, and
// only if every part then looks like one slice. Mirror images in a puddle fray an
// outline; they are thin and are cleared off.
const (
	oneWhole   = 0.93  // area over hull from which on an outline can be one slice
	frayed     = 1.02  // perimeter over the hull's up to which it can
	leastSlice = 700.0 // mm²
	fringe     = 0.1   // share of a patch that may be cleared off it
	// stricter is the share of the mat's distance from gray from which on nothing
	// between two slices can be mat: half way to the palest fish.
	stricter = 0.5
	// A neck is as short as a corner makes it that touches, or just lies on, a side.
	neckMM    = 12.0
	notchTurn = 25 * math.Pi / 180
	notchArm  = 6 // points to either side of a notch
)

// parts are the outlines of the slices in a patch, which is one of them where it
// cannot be parted. strict are all outlines of the stricter mask, opened those of
// the mask without what is thin.
func parts(patch []r2.Vec, strict, opened func() ([][]r2.Vec, error)) ([][]r2.Vec, error) {
	if isWhole(patch) {
		return [][]r2.Vec{patch}, nil
	}
	cores, err := inPatch(patch, strict)
	if err != nil {
		return nil, err
	}
	if out, ok := partAll(cores); ok {
		return out, nil
	}
	if out, ok := parted(resample(patch, stepMM)); ok {
		return out, nil
	}
	cores, err = inPatch(patch, opened)
	if err == nil && len(cores) == 1 && isWhole(cores[0]) && solid.Area(cores[0]) >= (1-fringe)*solid.Area(patch) {
		return cores, nil
	}
	return [][]r2.Vec{patch}, err
}

// inPatch are the outlines of slices in a patch.
func inPatch(patch []r2.Vec, outlines func() ([][]r2.Vec, error)) (out [][]r2.Vec, err error) {
	all, err := outlines()
	for _, o := range all {
		if solid.Area(o) >= leastSlice && solid.Inside(patch, middle(o)) {
			out = append(out, o)
		}
	}
	return out, err
}

// partAll parts outlines at their necks; ok where two or more slices come of it.
func partAll(cores [][]r2.Vec) (out [][]r2.Vec, ok bool) {
	for _, c := range cores {
		some, ok := parted(resample(c, stepMM))
		if !ok {
			return nil, false
		}
		out = append(out, some...)
	}
	return out, len(out) > 1
}

func isWhole(o []r2.Vec) bool {
	even := smooth(resample(o, stepMM), 4)
	hull := solid.Hull(even)
	return solid.Area(even) >= oneWhole*solid.Area(hull) && perimeter(even) <= frayed*perimeter(hull)
}

// parted cuts an outline at its necks until every part looks like one slice.
func parted(o []r2.Vec) ([][]r2.Vec, bool) {
	if solid.Area(o) < leastSlice {
		return nil, false
	}
	if isWhole(o) {
		return [][]r2.Vec{o}, true
	}
	i, j, ok := neck(o)
	if !ok {
		return nil, false
	}
	a, aok := parted(o[i : j+1])
	b, bok := parted(append(append([]r2.Vec(nil), o[j:]...), o[:i+1]...))
	return append(a, b...), aok && bok
}

// neck is the shortest way across an outline from notch to notch.
func neck(o []r2.Vec) (i, j int, ok bool) {
	var notches []int
	even := smooth(o, 4)
	n, turns := len(o), math.Copysign(1, solid.SignedArea(o))
	for k, p := range even {
		in, out := r2.Sub(p, even[(k+n-notchArm)%n]), r2.Sub(even[(k+notchArm)%n], p)
		if turns*math.Atan2(r2.Cross(in, out), r2.Dot(in, out)) < -notchTurn {
			notches = append(notches, k)
		}
	}
	least := neckMM
	for x, a := range notches {
		for _, b := range notches[x+1:] {
			// Either part's outline is longer than four necks.
			if around := min(b-a, n-b+a); float64(around)*stepMM < 4*neckMM {
				continue
			}
			if d := r2.Norm(r2.Sub(o[a], o[b])); d < least {
				least, i, j, ok = d, a, b, true
			}
		}
	}
	return i, j, ok
}
