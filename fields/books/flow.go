// The real flow of each machine, estimated from meter readings.

package books

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Flow is what the meter says of one machine.
type Flow struct {
	Pivot, Well string
	M3PerH      float64 // least squares of metered volume on pump hours
	ErrorM3H    float64 // its standard error; NaN with no reading to spare
	StatedM3H   float64 // recorded volume over recorded hours: the flow that farm.toml states
	Hours       float64 // pump hours that the estimate rests on
	Intervals   int     // between readings
}

// worstCondition is how far from independent the machines' hours may be: beyond
// it the same readings fit quite different flows.
const worstCondition = 1e6

// Regress fits y[i] = sum over j of q[j] x[i][j], through the origin, by least
// squares. se are the standard errors of q: the square roots of the diagonal of
// s² (XᵀX)⁻¹, where s² is the residual sum of squares over the degrees of
// freedom; NaN where there are none left. ok is false where the rows do not
// determine q.
func Regress(x [][]float64, y []float64) (q, se []float64, ok bool) {
	n := len(y)
	if n == 0 || len(x[0]) == 0 || n < len(x[0]) {
		return nil, nil, false
	}
	k := len(x[0])
	a := mat.NewDense(n, k, nil)
	for i := range x {
		a.SetRow(i, x[i])
	}
	var qr mat.QR
	qr.Factorize(a)
	if !(qr.Cond() < worstCondition) {
		return nil, nil, false
	}
	var b mat.VecDense
	if err := qr.SolveVecTo(&b, false, mat.NewVecDense(n, y)); err != nil {
		return nil, nil, false
	}
	var fit mat.VecDense
	fit.MulVec(a, &b)
	rss := 0.0
	for i := range y {
		d := y[i] - fit.AtVec(i)
		rss += d * d
	}
	var xtx, inv mat.Dense
	xtx.Mul(a.T(), a)
	if err := inv.Inverse(&xtx); err != nil {
		return nil, nil, false
	}
	s2 := math.NaN()
	if n > k {
		s2 = rss / float64(n-k)
	}
	for j := range k {
		q = append(q, b.AtVec(j))
		se = append(se, math.Sqrt(s2*inv.At(j, j)))
	}
	return q, se, true
}
