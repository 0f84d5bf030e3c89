package uncertainty

import "gonum.org/v1/gonum/stat/distuv"

// Student is the factor of Student's distribution for a 95 % interval on so many degrees
// of freedom (JCGM 100:2008, table G.2).
func Student(freedom float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(0.975)
}

// FromMedian makes the median of absolute deviations the standard deviation of a normal
// distribution: 1/Φ⁻¹(3/4) (P. J. Rousseeuw and C. Croux, J. Am. Stat. Assoc. 88, 1993,
// 1273-1283).
const FromMedian = 1.4826
