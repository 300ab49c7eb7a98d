// The weather generator against the closed forms of its own law and against
// stated ranges.

package main

import (
	"math"
	"math/rand/v2"
	"testing"
)

// states draws n days of one chain.
func states(c chain, n int, seed uint64) []bool {
	rng := rand.New(rand.NewPCG(seed, 99))
	out := make([]bool, n)
	wet := false
	for i := range out {
		wet = nextWet(c, wet, rng)
		out[i] = wet
	}
	return out
}

// runs lists the lengths of the runs of days equal to wet, end pieces left out.
func runs(days []bool, wet bool) []int {
	var out []int
	n, started := 0, false
	for i, d := range days {
		if i > 0 && d != days[i-1] {
			if started && days[i-1] == wet {
				out = append(out, n)
			}
			n, started = 0, true
		}
		n++
	}
	return out
}

func mean(v []int) float64 {
	s := 0
	for _, x := range v {
		s += x
	}
	return float64(s) / float64(len(v))
}

// TestChainClosedForms: for P(wet|dry) 0.25 and P(dry|wet) 0.5 the wet share is
// 1/3, the mean dry run 4 days and the mean wet run 2 (geometric law of run
// lengths in a two-state chain; arithmetic). Tolerance: four standard errors.
func TestChainClosedForms(t *testing.T) {
	const n = 400_000
	days := states(chain{WetAfterDry: 0.25, WetAfterWet: 0.5}, n, 1)
	wet := 0
	for _, d := range days {
		if d {
			wet++
		}
	}
	// The variance of a share in a chain is that of independent days times
	// (1+r)/(1-r), r = P(wet|wet) - P(wet|dry).
	const r = 0.25
	se := math.Sqrt(1.0 / 3 * 2 / 3 / n * (1 + r) / (1 - r))
	near(t, "wet share", float64(wet)/n, 1.0/3, 4*se)
	dry := runs(days, false)
	near(t, "mean dry run", mean(dry), 4, 4*math.Sqrt(12/float64(len(dry)))) // variance (1-p)/p², p 0.25
	wets := runs(days, true)
	near(t, "mean wet run", mean(wets), 2, 4*math.Sqrt(2/float64(len(wets)))) // p 0.5
}

// TestLongestDryRun: 92 independent days with wet probability 0.3. The chances
// that the longest dry run is at least 7, 10, 14 and 21 days are 0.93476,
// 0.54748, 0.15646 and 0.01242 (exact recursion over run lengths).
func TestLongestDryRun(t *testing.T) {
	const windows, length = 20_000, 92
	days := states(chain{WetAfterDry: 0.3, WetAfterWet: 0.3}, windows*length, 2)
	for k, want := range map[int]float64{7: 0.93476, 10: 0.54748, 14: 0.15646, 21: 0.01242} {
		hits := 0
		for w := range windows {
			n, longest := 0, 0
			for _, wet := range days[w*length : (w+1)*length] {
				if n++; wet {
					n = 0
				}
				longest = max(longest, n)
			}
			if longest >= k {
				hits++
			}
		}
		near(t, "longest dry run", float64(hits)/windows, want, 4*math.Sqrt(want*(1-want)/windows))
	}
}

// TestGammaMoments: mean and variance of the unit gamma law are its shape.
func TestGammaMoments(t *testing.T) {
	const n = 200_000
	for _, a := range []float64{0.75, 2.5} {
		rng := rand.New(rand.NewPCG(3, 3))
		var sum, sq float64
		for range n {
			v := gamma(a, rng)
			sum += v
			sq += v * v
		}
		m := sum / n
		near(t, "gamma mean", m, a, 4*math.Sqrt(a/n))
		// Var of the sample variance: (mu4 - sigma⁴)/n with mu4 = 3a²+6a.
		near(t, "gamma variance", sq/n-m*m, a, 4*math.Sqrt((2*a*a+6*a)/n))
	}
}

// TestClimate holds forty invented years against the ranges that the climate is
// meant to have: those of a northern mid-continent year. The ranges are
// assumptions of the demo; they are wide enough for any seed.
func TestClimate(t *testing.T) {
	o := defaultOptions()
	o.HistoryYears = 40
	type month struct {
		n, wet, afterDry, wetAfterDry, afterWet, wetAfterWet int
		rain, tmax, tmin, solar, wind                        float64
	}
	months := map[int]*month{}
	days := o.history()
	var lag, vari float64
	for i, w := range days {
		m := months[int(w.Date.Month)]
		if m == nil {
			m = &month{}
			months[int(w.Date.Month)] = m
		}
		m.n++
		m.rain += w.RainMM
		m.tmax += w.TmaxC
		m.tmin += w.TminC
		m.solar += w.RsMJ
		m.wind += w.WindMPerS
		wet := w.RainMM > 0
		if wet {
			m.wet++
		}
		if i > 0 && days[i-1].Date.AddDays(1) == w.Date {
			if days[i-1].RainMM > 0 {
				m.afterWet++
				if wet {
					m.wetAfterWet++
				}
			} else {
				m.afterDry++
				if wet {
					m.wetAfterDry++
				}
			}
			if w.Date.Month == 7 {
				a, b := days[i-1].TmaxC-28.3, w.TmaxC-28.3
				lag += a * b
				vari += b * b
			}
		}
		switch {
		case w.TminC > w.TmaxC-3+1e-9:
			t.Errorf("%s: Tmin %g, Tmax %g", w.Date, w.TminC, w.TmaxC)
		case w.RHmax > 100 || w.RHmin > w.RHmax || w.RHmin < 8:
			t.Errorf("%s: humidity %g to %g %%", w.Date, w.RHmin, w.RHmax)
		case w.WindMPerS <= 0 || w.WindMPerS > 20:
			t.Errorf("%s: wind %g m/s", w.Date, w.WindMPerS)
		case wet && (w.RainMM < leastMM || w.RainMM > wettestMM):
			t.Errorf("%s: %g mm of rain", w.Date, w.RainMM)
		}
	}
	ranges := map[int]struct{ rainLo, rainHi, tmaxLo, tmaxHi, tminLo, tminHi, solarLo, solarHi float64 }{
		1:  {8, 30, -6, 0, -16, -9, 4, 9},
		2:  {8, 32, -3, 4, -14, -7, 7, 12},
		3:  {22, 55, 3, 9, -8, -2, 10, 16},
		4:  {45, 85, 9, 15, -3, 3, 14, 20},
		5:  {60, 105, 17, 23, 4, 10, 17, 23},
		6:  {70, 120, 23, 28, 10, 15, 19, 25},
		7:  {65, 110, 26, 31, 14, 19, 19, 25},
		8:  {60, 110, 25, 30, 13, 18, 16, 22},
		9:  {50, 95, 19, 25, 7, 13, 12, 18},
		10: {32, 75, 11, 18, 0, 6, 7, 12},
		11: {18, 50, 2, 9, -8, -1, 4, 9},
		12: {10, 36, -5, 2, -14, -7, 3, 8},
	}
	for k := 1; k <= 12; k++ {
		m, r, c := months[k], ranges[k], chains[k]
		n := float64(m.n)
		t.Logf("month %d: rain %.0f mm, wet %.2f, Tmax %.1f, Tmin %.1f °C, solar %.1f MJ, wind %.1f m/s", k, m.rain/40, float64(m.wet)/n, m.tmax/n, m.tmin/n, m.solar/n, m.wind/n)
		within(t, k, "rain, mm", m.rain/40, r.rainLo, r.rainHi)
		within(t, k, "Tmax, °C", m.tmax/n, r.tmaxLo, r.tmaxHi)
		within(t, k, "Tmin, °C", m.tmin/n, r.tminLo, r.tminHi)
		within(t, k, "solar, MJ", m.solar/n, r.solarLo, r.solarHi)
		p, q := c.WetAfterDry, c.WetAfterWet
		near(t, "P(wet|dry)", float64(m.wetAfterDry)/float64(m.afterDry), p, 4*math.Sqrt(p*(1-p)/float64(m.afterDry)))
		near(t, "P(wet|wet)", float64(m.wetAfterWet)/float64(m.afterWet), q, 4*math.Sqrt(q*(1-q)/float64(m.afterWet)))
		if q-p < 0.1 {
			t.Errorf("month %d: wet days do not keep together (P(wet|wet) %g, P(wet|dry) %g)", k, q, p)
		}
	}
	within(t, 7, "lag-one correlation of Tmax", lag/vari, 0.4, 0.75)
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s: got %g, want %g ± %g", what, got, want, tol)
	}
}

func within(t *testing.T, month int, what string, got, lo, hi float64) {
	t.Helper()
	if got < lo || got > hi {
		t.Errorf("month %d, %s: got %g, want %g to %g", month, what, got, lo, hi)
	}
}
