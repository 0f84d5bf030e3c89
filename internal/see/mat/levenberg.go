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
	for range 300 {
		step, ok := dampedStep(sizes, res, lambda, func(d []float64) []float64 { return residuals(moved(at, d)) })
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
		at, res, lambda = next, r, lambda/5
		if was-is < 1e-9*was {
			break
		}
	}
	return at, true
}

// dampedStep solves the damped normal equations (JᵀJ + λ·diag)·step = -Jᵀr.
func dampedStep(sizes, res []float64, lambda float64, residuals func(step []float64) []float64) ([]float64, bool) {
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
	var A linalg.SymDense
	A.SymOuterK(1, J.T())
	for k := range n {
		A.SetSym(k, k, A.At(k, k)*(1+lambda)+1e-12)
	}
	var g, x linalg.VecDense
	g.MulVec(J.T(), linalg.NewVecDense(len(res), res))
	var chol linalg.Cholesky
	if !chol.Factorize(&A) || chol.SolveVecTo(&x, &g) != nil {
		return nil, false
	}
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
