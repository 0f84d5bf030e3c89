package mat

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Camera maps between the mat and the photo: a pinhole with radial distortion k1,
// k2, k3 (Brown 1971). Its principal point is the picture's middle, k3 is nothing and
// its pixels are square unless the corners tell otherwise. The mat's z axis points
// into the table, so a point h mm above the mat has z = -h.
type Camera struct {
	F          float64   // focal length, px
	Centre     r2.Vec    // principal point, px
	K1, K2, K3 float64   // radial distortion
	Wider      float64   // log of how much wider than high an edit stretched the photo
	R          [3]r3.Vec // rows of the rotation from mat to camera
	T          r3.Vec    // translation, mm
}

// Project returns the pixel where a point of the mat, height mm above it, is
// seen.
func (c *Camera) Project(p r2.Vec, height float64) r2.Vec {
	v := r3.Vec{X: p.X, Y: p.Y, Z: -height}
	x, y, z := r3.Dot(c.R[0], v)+c.T.X, r3.Dot(c.R[1], v)+c.T.Y, r3.Dot(c.R[2], v)+c.T.Z
	x, y = x/z, y/z
	s := c.F * c.stretch(x*x+y*y)
	w := c.wide()
	return r2.Vec{X: c.Centre.X + s*w*x, Y: c.Centre.Y + s/w*y}
}

// wide is by how much an edit made the photo wider than it was, and lower.
func (c *Camera) wide() float64 {
	if c.Wider == 0 { // as it is but for edits: every place of a photo comes by here
		return 1
	}
	return math.Exp(c.Wider / 2)
}

// stretch is how far distortion moves a ray outward, q the square of its
// distance from the axis.
func (c *Camera) stretch(q float64) float64 { return 1 + q*(c.K1+q*(c.K2+q*c.K3)) }

// Unproject returns the point, on the plane height mm above the mat, that is
// seen at the pixel.
func (c *Camera) Unproject(px r2.Vec, height float64) r2.Vec {
	w := c.wide()
	u, v := (px.X-c.Centre.X)/(c.F*w), (px.Y-c.Centre.Y)/c.F*w
	x, y := u, v
	for range 20 { // fixed point: distortion of phone lenses is a few per cent
		s := c.stretch(x*x + y*y)
		nx, ny := u/s, v/s
		near := math.Abs(nx-x)+math.Abs(ny-y) < 1e-9
		if x, y = nx, ny; near {
			break
		}
	}
	ray := c.toMat(r3.Vec{X: x, Y: y, Z: 1})
	eye := c.Eye()
	t := (-height - eye.Z) / ray.Z
	return r2.Vec{X: eye.X + t*ray.X, Y: eye.Y + t*ray.Y}
}

// Eye returns the camera's place in the mat frame; its height above the mat is
// -Z.
func (c *Camera) Eye() r3.Vec { return c.toMat(r3.Scale(-1, c.T)) }

// toMat turns a direction of the camera frame into the mat frame.
func (c *Camera) toMat(v r3.Vec) r3.Vec {
	return r3.Add(r3.Add(r3.Scale(v.X, c.R[0]), r3.Scale(v.Y, c.R[1])), r3.Scale(v.Z, c.R[2]))
}

// Tilt returns the angle between the camera's axis and the plumb line, degrees.
func (c *Camera) Tilt() float64 {
	return math.Acos(math.Min(1, math.Abs(c.R[2].Z))) * 180 / math.Pi
}

// PxPerMM returns how many pixels a millimetre of the mat takes at p, the
// smaller of the two directions.
func (c *Camera) PxPerMM(p r2.Vec) float64 {
	o := c.Project(p, 0)
	dx := r2.Sub(c.Project(r2.Vec{X: p.X + 1, Y: p.Y}, 0), o)
	dy := r2.Sub(c.Project(r2.Vec{X: p.X, Y: p.Y + 1}, 0), o)
	// The smaller singular value of the local 2 × 2 map.
	a, b, d := r2.Dot(dx, dx), r2.Dot(dx, dy), r2.Dot(dy, dy)
	return math.Sqrt(math.Max(0, (a+d)/2-math.Hypot((a-d)/2, b)))
}

// turned returns the rotation R turned by the small rotation vector w.
func turned(R [3]r3.Vec, w r3.Vec) [3]r3.Vec {
	angle := r3.Norm(w)
	if angle == 0 {
		return R
	}
	rot := r3.NewRotation(angle, w)
	var out [3]r3.Vec
	for i, col := range transpose(R) {
		v := rot.Rotate(col)
		out[i] = v
	}
	return transpose(out)
}

func transpose(R [3]r3.Vec) [3]r3.Vec {
	return [3]r3.Vec{
		{X: R[0].X, Y: R[1].X, Z: R[2].X},
		{X: R[0].Y, Y: R[1].Y, Z: R[2].Y},
		{X: R[0].Z, Y: R[1].Z, Z: R[2].Z},
	}
}
