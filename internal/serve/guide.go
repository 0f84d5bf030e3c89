package serve

import (
	"encoding/json"
	"math"
	"net/http"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"netagauge/internal/see/mat"
)

// lookPolicy is that of static/look.js, which finds the mat in the camera's picture:
// alone in a worker, it may run WebAssembly, and load that.
const lookPolicy = "default-src 'none'; script-src 'wasm-unsafe-eval'; connect-src 'self'"

// matOutline is what static/look.js knows of a mat, mm in the mat frame. A box is its
// left, top, right and bottom.
type matOutline struct {
	Paper [2]float64         `json:"paper"` // width and height
	Field [4]float64         `json:"field"`
	Tags  map[int][4]float64 `json:"tags"` // black squares, by id
}

// matsJSON tells static/look.js all mats and what a photo of one must keep.
var matsJSON = sync.OnceValue(func() []byte {
	var told struct {
		PxPerMM float64      `json:"px_per_mm"` // at least
		Tilt    float64      `json:"tilt_deg"`  // at most
		BlurMM  float64      `json:"blur_mm"`   // at most
		Focal   float64      `json:"focal"`     // by the picture's longer side
		Mats    []matOutline `json:"mats"`
	}
	told.PxPerMM, told.Tilt, told.BlurMM, told.Focal = mat.WarnPxPerMM, mat.WarnTilt, mat.WarnBlurMM, mat.UsualFocal
	for _, l := range mat.Layouts() {
		m := matOutline{Paper: [2]float64{l.Paper.X, l.Paper.Y}, Field: sides(l.Field), Tags: map[int][4]float64{}}
		for _, t := range l.Tags {
			m.Tags[t.ID] = sides(r2.Box{Min: t.Corners[0], Max: t.Corners[2]})
		}
		told.Mats = append(told.Mats, m)
	}
	text, err := json.Marshal(told)
	if err != nil {
		panic(err) // numbers and names
	}
	return text
})

func sides(b r2.Box) [4]float64 {
	micron := func(x float64) float64 { return math.Round(1000*x) / 1000 }
	return [4]float64{micron(b.Min.X), micron(b.Min.Y), micron(b.Max.X), micron(b.Max.Y)}
}

func mats(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/json")
	w.Write(matsJSON())
}
