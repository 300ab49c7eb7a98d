// The weather generator: wet and dry days from a two-state Markov chain, rain
// from a gamma law, and temperature and radiation as residuals that remember
// yesterday and each other, about means that differ between wet and dry days.
//
// Method: Richardson, C. W. (1981), Stochastic simulation of daily
// precipitation, temperature, and solar radiation, Water Resources Research
// 17:182-190; residual matrices as in Richardson and Wright (1984), ARS-8.
// Both cited from memory. Humidity and wind are simple additions of our own.

package main

import (
	"math"
	"math/rand/v2"

	"github.com/golang-sql/civil"
)

// weather is one invented day.
type weather struct {
	Date         civil.Date
	TmaxC, TminC float64
	RHmax, RHmin float64 // %
	WindMPerS    float64 // at the anemometer, 10 ft
	RsMJ         float64
	RainMM       float64
}

// lagged and fresh are the matrices A and B of the residuals x (Tmax, Tmin,
// solar): x today = A x yesterday + B e, with e standard normal. From memory.
var (
	lagged = [3][3]float64{{0.567, 0.086, -0.002}, {0.253, 0.504, -0.050}, {-0.006, -0.039, 0.244}}
	fresh  = [3][3]float64{{0.781, 0, 0}, {0.328, 0.637, 0}, {0.238, -0.341, 0.873}}
)

// windMemory is the lag-one correlation of the logarithm of wind speed and
// windSpread its standard deviation.
const (
	windMemory = 0.35
	windSpread = 0.32
)

// invent makes the days from..to. Where held says so the day is dry whatever
// the chain says; the random numbers drawn stay the same.
func invent(from, to civil.Date, held func(civil.Date) bool, rng *rand.Rand) []weather {
	var (
		days []weather
		x    [3]float64
		gust float64
		wet  bool
	)
	for d := from; !d.After(to); d = d.AddDays(1) {
		c := chains[int(d.Month)]
		wet = nextWet(c, wet, rng)
		rain := amountMM(c, rng)
		if held != nil && held(d) {
			wet = false
		}
		if !wet {
			rain = 0
		}
		x = nextResiduals(x, rng)
		gust = windMemory*gust + math.Sqrt(1-windMemory*windMemory)*rng.NormFloat64()
		days = append(days, dress(d, wet, rain, x, gust, rng.NormFloat64()))
	}
	return days
}

// nextWet draws today's state from yesterday's.
func nextWet(c chain, wetYesterday bool, rng *rand.Rand) bool {
	p := c.WetAfterDry
	if wetYesterday {
		p = c.WetAfterWet
	}
	return rng.Float64() < p
}

// amountMM draws the rain of a wet day. Days under the least measured amount
// are given that amount, so that the chain's wet days are the record's.
func amountMM(c chain, rng *rand.Rand) float64 {
	mm := gamma(rainShape, rng) * c.MeanMM / rainShape
	return min(max(mm, leastMM), wettestMM)
}

// gamma draws from the gamma law with scale 1 and shape a: Marsaglia and Tsang
// (2000), ACM TOMS 26:363-372 (from memory), with their boost for a < 1.
func gamma(a float64, rng *rand.Rand) float64 {
	boost := 1.0
	if a < 1 {
		boost = math.Pow(1-rng.Float64(), 1/a)
		a++
	}
	d := a - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		z := rng.NormFloat64()
		v := 1 + c*z
		if v <= 0 {
			continue
		}
		v = v * v * v
		if u := 1 - rng.Float64(); math.Log(u) < 0.5*z*z+d-d*v+d*math.Log(v) {
			return boost * d * v
		}
	}
}

func nextResiduals(x [3]float64, rng *rand.Rand) [3]float64 {
	e := [3]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
	var y [3]float64
	for i := range y {
		for j := range x {
			y[i] += lagged[i][j]*x[j] + fresh[i][j]*e[j]
		}
	}
	return y
}

// dress turns state and residuals into a day that can be measured.
func dress(d civil.Date, wet bool, rain float64, x [3]float64, gust, dew float64) weather {
	doy := d.DaysSince(civil.Date{Year: d.Year, Month: 1, Day: 1}) + 1
	m := expected(doy, wet)
	tmax := m.Tmax + m.TmaxSD*x[0]
	tmin := min(m.Tmin+m.TminSD*x[1], tmax-3) // a day's range is at least 3 °C
	clear := fold(m.Clear+m.ClearSD*x[2], 0.14, 0.97)
	tdew := tmin - max(0.1, m.DewDrop+1.1*dew)
	ea := vapourKPa(tdew)
	return weather{
		Date: d, TmaxC: tmax, TminC: tmin,
		RHmax:     100 * ea / vapourKPa(tmin),
		RHmin:     100 * ea / vapourKPa(tmax),
		WindMPerS: m.WindMPerS * math.Exp(windSpread*gust-windSpread*windSpread/2),
		RsMJ:      clear * clearSkyMJ(doy),
		RainMM:    rain,
	}
}

// fold brings v into [lo, hi] by turning back a third of what it overshoots, so
// that no two days share a limit: a row of equal values looks like a broken sensor.
func fold(v, lo, hi float64) float64 {
	switch {
	case v > hi:
		v = hi - (v-hi)/3
	case v < lo:
		v = lo + (lo-v)/3
	}
	return min(max(v, lo), hi)
}
