package mat

import (
	linalg "gonum.org/v1/gonum/mat"
)

// levenberg minimises the sum of squares of residuals by Levenberg and
// Marquardt's method, with forward differences of the sizes given. A state moves
// by a step in as many freedoms as there are sizes. It is false when the normal
// equations cannot be solved.
func levenberg[S any](start S, sizes []float64, moved func(S, []float64) S, residuals func(S) []float64) (S, bool) {
	at, res := start, residuals(start)
	lambda := 1e-3 // a small start, as is usual (Press et al., Numerical Recipes, 15.5)
	var n normal
	stands := false // n is that of the place
	for range 300 {
		if !stands {
			n = normalOf(sizes, res, func(d []float64) []float64 { return residuals(moved(at, d)) })
			stands = true
		}
		step, ok := n.dampedStep(lambda)
		if !ok {
			return at, false
		}
		next := moved(at, step)
		r := residuals(next)
		was, is := squares(res), squares(r)
		if !(is < was) {
			if lambda *= 10; lambda > 1e8 {
				break
			}
			continue
		}
		at, res, lambda, stands = next, r, lambda/5, false
		if was-is < 1e-9*was {
			break
		}
	}
	return at, true
}

// normal are the normal equations of a place: JᵀJ and Jᵀr.
type normal struct {
	a *linalg.SymDense
	g *linalg.VecDense
}

func normalOf(sizes, res []float64, residuals func(step []float64) []float64) normal {
	n := len(sizes)
	J := linalg.NewDense(len(res), n, nil)
	d := make([]float64, n)
	for k, h := range sizes {
		d[k] = h
		for i, r := range residuals(d) {
			J.Set(i, k, (r-res[i])/h)
		}
		d[k] = 0
	}
	var a linalg.SymDense
	a.SymOuterK(1, J.T())
	var g linalg.VecDense
	g.MulVec(J.T(), linalg.NewVecDense(len(res), res))
	return normal{&a, &g}
}

// dampedStep solves the damped normal equations (JᵀJ + λ·diag)·step = -Jᵀr.
func (n normal) dampedStep(lambda float64) ([]float64, bool) {
	a := linalg.NewSymDense(n.a.SymmetricDim(), nil)
	a.CopySym(n.a)
	for k := range a.SymmetricDim() {
		a.SetSym(k, k, a.At(k, k)*(1+lambda)+1e-12)
	}
	var x linalg.VecDense
	var chol linalg.Cholesky
	if !chol.Factorize(a) || chol.SolveVecTo(&x, n.g) != nil {
		return nil, false
	}
	d := make([]float64, a.SymmetricDim())
	for k := range d {
		d[k] = -x.AtVec(k)
	}
	return d, true
}

func squares(v []float64) (s float64) {
	for _, x := range v {
		s += x * x
	}
	return s
}
