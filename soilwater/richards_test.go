package soilwater

// An oracle for the layered model: Richards' equation solved directly.
//
// Mixed form with modified Picard iterations (Celia, Bouloutas, Zarba 1990,
// Water Resources Research 26:1483-1496, from memory), cells of 1 cm,
// equilibrium with the water table at the start, roots 40/30/20/10 % by quarters
// of their depth, uptake falling linearly between two suctions, and Jarvis
// compensation up to a limit. The surface is closed, or it takes rain and
// evaporates at a potential rate as long as the ground can carry it; the water
// table is held at the bottom, or moves above it.

import (
	"math"

	"sandwick/soilwater/hydraulics"
)

type richards struct {
	soil        hydraulics.VanGenuchten
	tableM      float64
	rootM       float64
	demandMM    float64
	limit       float64
	onset, wilt float64
	cell        float64
	open        *openTop // nil: a closed surface over a table that stands still
}

// openTop is an open surface, and a water table that moves.
type openTop struct {
	evaporation float64                 // potential, mm/day
	rain        func(day int) float64   // mm; nil: none
	table       func(t float64) float64 // depth at a time in days; nil: it stands still
	deepM       float64                 // depth of the lowest cell's foot; 0: the table's
	columnM     float64                 // storage is reported down to here
}

// drySurfaceM is the suction of a surface that evaporates less than the air
// asks for, m: air-dry ground. From a tenth of it on fluxes hardly change.
const drySurfaceM = 1e4

// richardsDay is what one day brings, mm.
type richardsDay struct{ uptake, evaporation, stored float64 }

// curveTable holds θ, capacity and K at even steps of ln h.
type curveTable struct {
	lo, inv        float64
	theta, cap, lk []float64
	potential      []float64 // ∫ K dh from the lowest suction, m²/day
	v              hydraulics.VanGenuchten
}

func newCurveTable(v hydraulics.VanGenuchten) *curveTable {
	const n = 6000
	t := &curveTable{lo: math.Log(1e-5), v: v}
	hi := math.Log(1e5)
	t.inv = n / (hi - t.lo)
	for i := range n + 2 {
		h := math.Exp(t.lo + float64(i)/t.inv)
		t.theta = append(t.theta, v.Theta(h))
		t.cap = append(t.cap, v.Capacity(h))
		t.lk = append(t.lk, v.K(h))
		phi := h * v.K(0)
		if i > 0 {
			lower := math.Exp(t.lo + float64(i-1)/t.inv)
			phi = t.potential[i-1] + (h-lower)*(v.K(lower)+4*v.K((h+lower)/2)+v.K(h))/6 // Simpson
		}
		t.potential = append(t.potential, phi)
	}
	return t
}

// between is ∫ K dh from a suction to a higher one.
func (t *curveTable) between(h, higher float64) float64 { return t.upTo(higher) - t.upTo(h) }

func (t *curveTable) upTo(h float64) float64 {
	if h <= 1e-5 {
		return h * t.v.KsMPerDay
	}
	x := (math.Log(h) - t.lo) * t.inv
	i := min(int(x), len(t.potential)-2)
	// K is near constant within a step: linear in h.
	a, b := math.Exp(t.lo+float64(i)/t.inv), math.Exp(t.lo+float64(i+1)/t.inv)
	return t.potential[i] + (h-a)/(b-a)*(t.potential[i+1]-t.potential[i])
}

func (t *curveTable) at(h float64) (theta, capacity, k float64) {
	if h <= 1e-5 {
		return t.v.ThetaS, 0, t.v.KsMPerDay
	}
	x := (math.Log(h) - t.lo) * t.inv
	i := min(int(x), len(t.theta)-2)
	f := x - float64(i)
	return t.theta[i] + f*(t.theta[i+1]-t.theta[i]), t.cap[i] + f*(t.cap[i+1]-t.cap[i]), t.lk[i] + f*(t.lk[i+1]-t.lk[i])
}

// run returns what each day brings, and the worst error of the daily mass
// balance in mm.
func (r richards) run(days int) (out []richardsDay, massError float64) {
	dz := r.cell
	open := r.open
	if open == nil {
		open = &openTop{}
	}
	deep := max(r.tableM, open.deepM)
	n := int(math.Round(deep / dz))
	curve := newCurveTable(r.soil)
	h, hOld, theta, thetaOld := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	k, capac, w, alpha := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	a, b, c, rhs := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	quarter := [4]float64{0.4, 0.3, 0.2, 0.1}
	for i := range n {
		z := (float64(i) + 0.5) * dz
		h[i] = r.tableM - z
		theta[i], _, _ = curve.at(h[i])
		for q := range 4 {
			top, base := r.rootM*float64(q)/4, r.rootM*float64(q+1)/4
			if o := min(base, z+dz/2) - max(top, z-dz/2); o > 0 {
				w[i] += quarter[q] * o / (base - top)
			}
		}
	}
	tp := r.demandMM / 1000
	store := func(th []float64) float64 {
		sum := 0.0
		for _, x := range th {
			sum += x * dz
		}
		return sum
	}
	dt := 1e-4
	for day := range days {
		left := 1.0
		taken, bottom, start := 0.0, 0.0, store(theta)
		rain, evaporated := 0.0, 0.0
		if open.rain != nil {
			rain = open.rain(day) / 1000
		}
		// evaporation and its slope with the uppermost suction.
		evaporate := func(h float64) (e, slope float64) {
			if open.evaporation <= 0 {
				return 0, 0
			}
			e = open.evaporation / 1000
			if most := curve.between(h, drySurfaceM)/(dz/2) - r.soil.K(h); most < e {
				return most, -r.soil.K(h) / (dz / 2)
			}
			return e, 0
		}
		// Mean conductivity between two cells: the integral one where the surface
		// dries out sharply.
		mean := func(i, j int) float64 {
			if open.evaporation > 0 {
				if d := h[j] - h[i]; math.Abs(d) > 1e-3*math.Abs(h[i]) && h[i] > 1e-5 && h[j] > 1e-5 {
					return curve.between(h[i], h[j]) / d
				}
			}
			return 0.5 * (k[i] + k[j])
		}
		for left > 1e-12 {
			step := min(dt, left)
			foot := 0.0 // pressure head at the bottom
			if open.table != nil {
				foot = deep - open.table(float64(day)+1-left+step)
			}
			copy(hOld, h)
			copy(thetaOld, theta)
			var uptake, qb float64
			iterations, ok := 0, false
			for iterations = 1; iterations <= 30; iterations++ {
				omega := 0.0
				for i := range n {
					theta[i], capac[i], k[i] = curve.at(h[i])
					alpha[i] = min(max((r.wilt-h[i])/(r.wilt-r.onset), 0), 1)
					omega += w[i] * alpha[i]
				}
				scale := tp / max(omega, 1/r.limit)
				for i := range n {
					// Head ψ = -h; flux down q = -K (dψ/dz - 1) with z down.
					up, down := 0.0, 0.0
					a[i], c[i] = 0, 0
					flow := 0.0
					if i > 0 {
						km := mean(i-1, i)
						up = km / dz
						a[i] = -up / dz
						flow += -km*((-h[i])-(-h[i-1]))/dz + km
					}
					if i < n-1 {
						km := mean(i, i+1)
						down = km / dz
						c[i] = -down / dz
						flow -= -km*((-h[i+1])-(-h[i]))/dz + km
					} else {
						km := 0.5 * (k[i] + r.soil.KsMPerDay)
						down = km / (dz / 2)
						flow -= -km*(foot-(-h[i]))/(dz/2) + km
					}
					loss := 0.0 // d evaporation / dψ
					if i == 0 {
						e, slope := evaporate(h[0])
						flow += rain - e
						loss = -slope
					}
					sink := w[i] * alpha[i] * scale / dz
					dsink := 0.0 // d sink / dψ
					if h[i] > r.onset && h[i] < r.wilt {
						dsink = w[i] * scale / dz / (r.wilt - r.onset)
					}
					b[i] = capac[i]/step + up/dz + down/dz + dsink + loss/dz
					rhs[i] = flow/dz - sink - (theta[i]-thetaOld[i])/step
				}
				// Thomas.
				for i := 1; i < n; i++ {
					m := a[i] / b[i-1]
					b[i] -= m * c[i-1]
					rhs[i] -= m * rhs[i-1]
				}
				worst := 0.0
				for i := n - 1; i >= 0; i-- {
					x := rhs[i]
					if i < n-1 {
						x -= c[i] * rhs[i+1]
					}
					rhs[i] = x / b[i]
				}
				for i := range n {
					d := rhs[i] // change of ψ
					// A drying cell may not pass far into drought in one iteration.
					old := h[i]
					h[i] = old - d
					if open.table == nil {
						h[i] = max(h[i], 1e-9)
					}
					if most := 3*max(old, 0) + 0.1; h[i] > most {
						h[i] = most
					}
					th, _, _ := curve.at(h[i])
					worst = max(worst, math.Abs(th-theta[i]))
				}
				if math.IsNaN(worst) {
					break
				}
				if worst < 2e-7 {
					ok = true
					break
				}
			}
			if !ok {
				copy(h, hOld)
				copy(theta, thetaOld)
				dt = step / 3
				if dt < 1e-9 {
					return nil, math.NaN()
				}
				continue
			}
			omega := 0.0
			for i := range n {
				theta[i], _, k[i] = curve.at(h[i])
				alpha[i] = min(max((r.wilt-h[i])/(r.wilt-r.onset), 0), 1)
				omega += w[i] * alpha[i]
			}
			uptake = tp * omega / max(omega, 1/r.limit)
			km := 0.5 * (k[n-1] + r.soil.KsMPerDay)
			qb = -km*(foot-(-h[n-1]))/(dz/2) + km
			e, _ := evaporate(h[0])
			evaporated += e * step
			taken += uptake * step
			bottom += qb * step
			left -= step
			if iterations <= 5 {
				dt = min(step*1.4, 0.02)
			} else if iterations > 12 {
				dt = step * 0.7
			}
		}
		massError = max(massError, 1000*math.Abs(store(theta)-start+taken+bottom+evaporated-rain))
		stored := 0.0
		for i, x := range theta {
			if (float64(i)+0.5)*dz < open.columnM {
				stored += x * dz
			}
		}
		out = append(out, richardsDay{1000 * taken, 1000 * evaporated, 1000 * stored})
	}
	return out, massError
}
