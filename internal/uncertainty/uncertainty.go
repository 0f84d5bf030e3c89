// Package uncertainty propagates standard uncertainties through products and
// sums as in the GUM (JCGM 100:2008) and breaks a result into its budget.
package uncertainty
