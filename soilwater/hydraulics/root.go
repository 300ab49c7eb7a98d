package hydraulics

// One bracketing root finder for smooth monotone functions.

import "math"

const (
	rootTol     = 1e-13 // of the argument, relative to max(1, |x|): near the last digit of a float64
	rootMaxIter = 200   // bisection alone needs about 60
)

// root finds x in [lo, hi] with f(x) = 0 for a continuous f of opposite signs
// at the ends, by Ridders' method with bisection's guarantee. ok is false when
// the ends do not bracket a root or f is NaN.
func root(f func(float64) float64, lo, hi float64) (x float64, ok bool) {
	fl, fh := f(lo), f(hi)
	if fl == 0 {
		return lo, true
	}
	if fh == 0 {
		return hi, true
	}
	if !(fl*fh < 0) {
		if fl > 0 != (fh > 0) && !math.IsNaN(fl) && !math.IsNaN(fh) {
			// An infinite end: the product may be NaN or -Inf, the bracket still stands.
			fl, fh = clampInf(fl), clampInf(fh)
		} else {
			return math.NaN(), false
		}
	}
	for range rootMaxIter {
		mid := lo + (hi-lo)/2
		fm := f(mid)
		if math.IsNaN(fm) {
			return math.NaN(), false
		}
		if fm == 0 || hi-lo <= rootTol*max(1, math.Abs(mid)) {
			return mid, true
		}
		s := math.Sqrt(fm*fm - fl*fh)
		x = mid
		if s > 0 && !math.IsInf(s, 0) {
			x = mid + (mid-lo)*math.Copysign(1, fl-fh)*fm/s
		}
		fx := f(x)
		if fx == 0 {
			return x, true
		}
		switch {
		case fm > 0 != (fx > 0):
			lo, fl, hi, fh = mid, fm, x, fx
		case fl > 0 != (fx > 0):
			hi, fh = x, fx
		default:
			lo, fl = x, fx
		}
		if lo > hi {
			lo, hi, fl, fh = hi, lo, fh, fl
		}
	}
	return lo + (hi-lo)/2, true
}

func clampInf(f float64) float64 { return min(max(f, -1e300), 1e300) }
