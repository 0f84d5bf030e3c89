package coach

import "netagauge/internal/core/phrase"

// English says advice in English. A clause brings the mark it begins with.
func English(t phrase.Text) string {
	s, ok := t.In(english)
	if !ok {
		panic("coach: a clause has no English words") // a test holds every key to have some
	}
	return s
}

// Keys are those of all clauses, for other languages to have words for.
func Keys() map[string]string { return english }

var english = map[string]string{
	// who
	"who-all":  "all %.0f pieces: on the mean ",
	"who-mean": "on the mean ",

	// how far off: by how much, what it is, what is wanted
	"off-long":   "%.0f mm too long (%.0f, aim %.0f)",
	"off-short":  "%.0f mm too short (%.0f, aim %.0f)",
	"off-wide":   "%.0f mm too wide (%.0f, aim %.0f)",
	"off-narrow": "%.0f mm too narrow (%.0f, aim %.0f)",
	"off-light":  "%.1f g too light (%.1f, aim %.1f)",
	"off-heavy":  "%.1f g too heavy (%.1f, aim %.1f)",

	// length
	"turn-plan":         ": turn the knife from %.0f° to %.0f° to the block's long axis",
	"plan-cut":          ": cut at %.0f° to the block's long axis; a block %.0f mm wide gives %.0f mm there",
	"plan-none":         ": no plan angle gives %.0f mm from a block %.0f mm wide: trim it or split it lengthwise",
	"plan-narrow":       ": a block %.0f mm wide is too narrow for %.0f mm at any plan angle above %.0f°: use a wider block",
	"length-no-block":   ": no block gives this length with the knife at %.0f°: check the plan angle that was entered",
	"block-too-wide":    ": the block is about %.0f mm wide and no plan angle gives less than that: trim it or split it lengthwise",
	"block-too-slender": ": the block is only about %.0f mm wide, too narrow for this length at any plan angle above %.0f°: use a wider block",
	"held-none":         "; no knife cuts this from such a block: measure the block again",
	"held-about":        "; it was held at about %.0f°, or the block is not of that size: measure it again",

	// width
	"lay-if-upright": ": lay the blade flatter; if it stood upright, lay it to %.0f° from the board",
	"raise-or-trim":  ": raise the blade; if it stood upright already, trim the block or split it to less height",
	"block-flat":     ": the block is too low for this width even with the blade laid flat: use a higher block",
	"lay-cut":        ": lay the blade to %.0f° from the board; a block %.0f mm high gives %.0f mm there",
	"lay-none":       ": no lay angle gives %.0f mm from a block %.0f mm high: trim it or split it to less height",
	"lay-low":        ": a block %.0f mm high is too low for %.0f mm at any lay angle above %.0f°: use a higher block",
	"width-no-block": ": no block gives this width with the blade at %.0f°: check the lay angle that was entered",
	"block-too-high": ": the block is about %.0f mm high and no lay angle gives less than that: trim it or split it to less height",
	"block-too-low":  ": the block is only about %.0f mm high, too low for this width at any lay angle above %.0f°: use a higher block",
	"lay-over":       ": lay the blade flatter, from %.0f° to %.0f° from the board",
	"lay-up":         ": raise the blade from %.0f° to %.0f° from the board",

	// weight
	"size-is-cause": ": the size is the cause; at %.0f × %.0f mm and the same thickness it weighs %.1f g, so leave the thickness",
	"size-is-part":  ", and the size is only part of it; once that is %.0f × %.0f mm",
	"will-weigh":    "at %.0f × %.0f mm and this thickness it will weigh %.1f g (aim %.1f)",
	"also":          "; ",
	"far-off":       ": that is too far off to be the hand: check the thickness or density that was entered",
	"cut-thicker":   ": cut %.0f %% thicker, by that much more or less between one cut and the next",
	"cut-thinner":   ": cut %.0f %% thinner, by that much more or less between one cut and the next",
	"cut-thick":     ": cut %.1f mm thick, not %.1f; along the block that is a cut every %.1f mm at %.0f° and a blade at %.0f°",

	// shape
	"too-small":      "too small for nigiri in length and width: set it aside for rolls or chopped fish",
	"taper-is-cause": ": the taper is the cause; hold the width from end to end first",
	"cover-small":    "rice shows because the slice is too small: put its length and width right first",
	"cover-ragged":   "rice shows although the size is right: the edge is ragged; trim the block's edge and cut in one stroke",
	"open-long-edge": "narrow but heavy enough (%.1f g): open it like a book along its long edge, to about %.0f × %.0f mm",
	"open-short":     "short but heavy enough (%.1f g): open it like a book along its short edge, to about %.0f × %.0f mm",
	"open-thick":     " and %.1f mm thick",
	"taper":          "a triangle, %.0f mm wide at one end and %.0f at the other: the block is thin on one side",
	"taper-start":    "; lay its thick side away from you, start on the thick face and lay the blade flatter towards the thin side (with the block's height known, the angles can be given)",
	"taper-trim":     "; trim the thick side or split the block, then start on the thick face and lay the blade flatter towards the thin side",
	"taper-thin":     "; lay its thick side away from you, start on the thick face with the blade at %.0f°; the thin side is too thin for any lay angle above %.0f°: trim it off, or open such slices like a book",
	"taper-lay":      "; lay its thick side away from you, start on the thick face with the blade at %.0f° and lay it over to %.0f° as it reaches the thin side",
	"wedge-along":    "%.1f mm thicker at one end: keep the blade level with the last cut from heel to tip",
	"wedge-across":   "%.1f mm thicker along one side: keep the blade at the last cut's lay through the whole stroke",

	// the tray
	"triangles-all":   "all %.0f pieces are triangular; on the mean ",
	"triangles-one":   "1 of %.0f pieces is triangular; on the mean ",
	"triangles-some":  "%.0f of %.0f pieces are triangular; on the mean ",
	"wedges-all":      "all %.0f pieces are thicker at one end or side; on the mean ",
	"wedges-some":     "%.0f of %.0f pieces are thicker at one end or side; on the mean ",
	"one-to-open":     "piece %s is small but heavy enough: open like a book",
	"some-to-open":    "pieces %s are small but heavy enough: open like a book",
	"one-aside":       "piece %s is too small for nigiri: set aside for rolls or chopped fish",
	"some-aside":      "pieces %s are too small for nigiri: set aside for rolls or chopped fish",
	"lengths-drift":   "lengths go from %.0f to %.0f mm in the order of the numbers: the block's width changes along it",
	"widths-drift":    "widths go from %.0f to %.0f mm in the order of the numbers: the block's height changes along it",
	"weights-drift":   "weights at one size go from %.0f to %.0f g in the order of the numbers: the step between cuts changes: keep it even",
	"turn-on":         "; turn the knife as you go",
	"turn-on-from":    "; turn the knife as you go, from %.0f° to %.0f°",
	"lay-on":          "; change the blade's lay as you go",
	"lay-on-from":     "; change the blade's lay as you go, from %.0f° to %.0f°",
	"lengths-scatter": "lengths differ by %.0f mm (%.0f to %.0f): hold the block still and cut in one stroke",
	"widths-scatter":  "widths differ by %.0f mm (%.0f to %.0f): keep the blade at one lay from the start of the stroke to its end",
	"weights-scatter": "weights at one size differ by %.0f g (%.0f to %.0f): keep the step between cuts even; mark it on the board",
}
