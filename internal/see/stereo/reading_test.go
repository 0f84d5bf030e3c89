package stereo

import "testing"

// What facets and outlines may say of a koba on a slice 4 mm high.
func TestKobaOrWall(t *testing.T) {
	for _, c := range []struct {
		name                string
		width, drop         float64 // of the facet, mm
		facet, koba, step   float64 // log likelihoods gained
		textureTellsNothing bool
		want                Answer
	}{
		{"a wide facet half way down", 4, 1.8, 90, 90, 0, false, Yes},
		{"too faint for that", 4, 1.8, 40, 40, 0, false, CannotTell},
		{"as narrow as walls that pass for kobas", 2.3, 1.8, 300, 290, 0, false, CannotTell},
		{"narrower than any koba, and better than any", 1.7, 1.8, 90, 60, 0, false, No},
		{"hardly better", 1.7, 1.8, 90, 85, 0, false, CannotTell},
		{"all the way down", 3, 3.5, 90, 88, 0, false, No},
		{"all the way down, faint but better", 3, 3.5, 40, 25, 0, false, No},
		{"all the way down, and no better", 3, 3.5, 40, 35, 0, false, CannotTell},
		{"narrow, and the outlines hint at a koba", 1.7, 1.8, 90, 60, 4, false, CannotTell},
		{"the outlines see one", 0, 0, 0, 0, 21, false, Yes},
		{"the outlines see one, and texture none like it", 0, 0, 0, 0, 19, false, CannotTell},
		{"both see one, each but faintly", 4, 1.8, 20, 20, 8, false, Yes},
		{"both may see one", 4, 1.8, 20, 20, 7, false, CannotTell},
		{"texture sees a wall where the outlines see one", 4, 3.5, 60, 20, 8, false, CannotTell},
		{"the outlines see none", 4, 1.8, 90, 90, -4, false, No},
		{"nothing, where texture tells", 0, 0, 0, 0, 0, false, No},
		{"nothing, where it doesn't", 0, 0, 0, 0, 0, true, CannotTell},
	} {
		s := Surface{Height: 4, Gain: 2 * textureTells, FacetGain: c.facet, KobaGain: c.koba, Step: Step{Side: 1, Gain: c.step}}
		if c.width > 0 {
			s.Facet = Facet{Side: 1, Width: c.width, Drop: c.drop}
		}
		if c.textureTellsNothing {
			s.Gain = textureTells / 2
		}
		if got := s.koba(); got != c.want {
			t.Errorf("%s: answer %d, want %d", c.name, got, c.want)
		}
	}
}
