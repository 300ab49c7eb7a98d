// The fit of a recession to the readings of the last weeks.

package watertable

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// When a fit is justified. Four weekly readings are the fewest that leave two
// degrees of freedom and more than one week to judge by; assumptions, tried on
// the eight wells of the tests.
const (
	WindowDays  = 28  // readings this long before the last are fitted
	MinReadings = 4   // the last included
	MinSpanDays = 14  // from the first reading fitted to the last
	MinR2       = 0.8 // share of the readings' variance that the recession explains
)

// When rain is recent. On sand a wetting front takes a few days to a shallow
// table; less rain than this stays in a root zone that has dried for days.
// Assumptions: common practice, no published source.
const (
	SettleDays   = 3  // a rise goes on for so long after rain
	RainSpanDays = 3  // rain is added up over so many days
	RechargeMM   = 15 // and from this sum on is taken to reach the table
)

// ReservoirDays are the reservoir constants k tried on a pipe; the last is a
// straight line.
var ReservoirDays = [...]float64{15, 30, 60, math.Inf(1)}

// Held is why the last reading is held instead of being carried along a recession.
type Held uint8

const (
	// NotHeld: the depth is carried along a recession.
	NotHeld Held = iota
	// FewReadings: fewer than MinReadings within WindowDays, or since recharge.
	FewReadings
	// ShortSpan: the readings lie within less than MinSpanDays.
	ShortSpan
	// RecentRain: rain of RechargeMM or more in RainSpanDays fell after the last
	// reading or less than SettleDays before it.
	RecentRain
	// Rising: the table rises, or stands still. A rise ends when its cause does,
	// which readings do not tell.
	Rising
	// PoorFit: the recession explains less than MinR2.
	PoorFit
	// Untried: the pipe's own past holds fewer than MinHindcasts justified fits
	// to judge by.
	Untried
	// NoSkill: the fits of the pipe's own past have not beaten no change.
	NoSkill
)

// Fit is a recession through the last reading. The zero Fit is none.
type Fit struct {
	Readings      int     // number fitted, the last included
	SpanDays      int     // from the first of them to the last
	RateMPerDay   float64 // r, the fall at the last reading
	ReservoirDays float64 // k; +Inf: a straight line
	R2            float64
	s2            float64 // variance of one reading about the recession, m²
	sg, sgg       float64 // Σg, days; Σg², days²
}

// BaseM is the depth that the recession tends to, m, from depth d0 at the last
// reading; +Inf along a straight line.
func (f *Fit) BaseM(d0 float64) float64 { return d0 + f.RateMPerDay*f.ReservoirDays }

// reach is g: the days of fall at the present rate that t days of recession are worth.
func reach(t, k float64) float64 {
	if math.IsInf(k, 1) {
		return t
	}
	return -k * math.Expm1(-t/k) // Maillet 1905
}

// fall is how much deeper the table stands after so many days.
func (f *Fit) fall(days float64) float64 { return f.RateMPerDay * reach(days, f.ReservoirDays) }

// RateSE is the standard error of the rate, m/day. The error of the last reading
// is in every difference from it.
func (f *Fit) RateSE() float64 {
	return math.Sqrt(f.s2*(f.sgg+f.sg*f.sg)) / f.sgg
}

// variance is that of predicting one new depth after so many days: of its own
// error; of the last reading's, which carries the forecast and turns the line;
// and of the errors of the others, which turn it.
func (f *Fit) variance(days float64) float64 {
	g := reach(days, f.ReservoirDays)
	turn := 1 - g*f.sg/f.sgg
	return f.s2 * (1 + turn*turn + g*g/f.sgg)
}

// wetDays tells of rain that recharges: from a first day on, for each day, the
// last day by then on which such rain ended.
type wetDays struct {
	first int
	by    []int
}

// newWetDays looks at the rain of the days from first through last, mm by day
// number, NaN where it is not known.
func newWetDays(first, last int, rain func(day int) float64) wetDays {
	w := wetDays{first, make([]int, max(0, last-first+1))}
	var mm [RainSpanDays]float64 // a ring of the last days
	wet := math.MinInt
	for i := range w.by {
		today := rain(first + i)
		if !(today > 0) { // or not known
			today = 0
		}
		mm[i%RainSpanDays] = today
		sum := 0.0
		for _, v := range mm {
			sum += v
		}
		if today > 0 && sum >= RechargeMM {
			wet = first + i
		}
		w.by[i] = wet
	}
	return w
}

// last is the last wet day within [from, to].
func (w *wetDays) last(from, to int) (int, bool) {
	i := min(to-w.first, len(w.by)-1)
	if i < 0 || w.by[i] < from {
		return 0, false
	}
	return w.by[i], true
}

// points are a pipe's readings by day number.
type points struct {
	day   []int
	depth []float64
	wet   wetDays
}

// fit fits a recession with constant k to the readings up to i, on day now.
func (p *points) fit(i, now int, k float64) (Fit, Held) {
	last := p.day[i]
	from := last - WindowDays
	if wet, any := p.wet.last(from-SettleDays, now); any {
		if wet > last-SettleDays {
			return Fit{}, RecentRain
		}
		from = max(from, wet+SettleDays)
	}
	first := i
	for first > 0 && p.day[first-1] >= from {
		first--
	}
	f := Fit{Readings: i - first + 1, SpanDays: last - p.day[first], ReservoirDays: k}
	switch {
	case f.Readings < MinReadings:
		return f, FewReadings
	case f.SpanDays < MinSpanDays:
		return f, ShortSpan
	}
	x := make([]float64, f.Readings)
	y := make([]float64, f.Readings)
	for j := range x {
		x[j] = reach(float64(p.day[first+j]-last), k)
		y[j] = p.depth[first+j] - p.depth[i]
		f.sg += x[j]
		f.sgg += x[j] * x[j]
	}
	_, f.RateMPerDay = stat.LinearRegression(x, y, nil, true)
	// The variance of a reading is that about the line that is free of the last
	// one; about the line through it, that reading's error would count n times.
	at, slope := stat.LinearRegression(x, y, nil, false)
	for j := range x {
		e := y[j] - at - slope*x[j]
		f.s2 += e * e
	}
	f.s2 /= float64(f.Readings - 2)
	f.R2 = stat.RSquared(x, y, nil, 0, f.RateMPerDay)
	switch {
	case !(f.RateMPerDay > 0):
		return f, Rising
	case !(f.R2 >= MinR2):
		return f, PoorFit
	}
	return f, NotHeld
}
