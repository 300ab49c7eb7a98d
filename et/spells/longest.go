// The longest dry spell to expect in a part of the year.

package spells

import (
	"math"
	"slices"
	"sort"

	"github.com/golang-sql/civil"
	"gonum.org/v1/gonum/stat"
)

// LeastYears is the fewest years to which a Gumbel law is fitted. Our choice:
// with fewer the spread of the maxima is hardly known.
const LeastYears = 5

// YearMax is the longest dry spell in one year's window, days.
type YearMax struct {
	Year int // of the window's first day
	Days int // longest run of dry days within the window
}

// Longest lists, for every year of the record, the longest dry spell within the
// window that begins on the calendar day from and has so many days (1 to 365),
// across New Year where it comes to that. Days of a spell outside the window
// do not count. A year of whose window a day is not known is left out; leftOut
// counts those of which at least one day is known.
func (h *History) Longest(from civil.Date, days int) (list []YearMax, leftOut int) {
	if len(h.kind) == 0 || !from.IsValid() || days < 1 || days > 365 {
		return nil, 0
	}
	first, last := h.Years()
	for year := first - 1; year <= last; year++ {
		at := dayNumber(inYear(from, year)) - h.day0
		longest, run, known := 0, 0, 0
		for i := max(0, at); i < min(len(h.kind), at+days); i++ {
			switch h.kind[i] {
			case Dry:
				run++
				longest = max(longest, run)
			case Wet:
				run = 0
			}
			if h.kind[i] != Unknown {
				known++
			}
		}
		switch {
		case known == days:
			list = append(list, YearMax{year, longest})
		case known > 0:
			leftOut++
		}
	}
	return list, leftOut
}

// GumbelFactor is the frequency factor K of the Gumbel law, with which the
// value of return period T years is mean + K × standard deviation: Chow (1951,
// from memory). T must be above 1; NaN otherwise.
func GumbelFactor(t float64) float64 {
	const euler = 0.57721566490153286
	if !(t > 1) {
		return math.NaN()
	}
	return -math.Sqrt(6) / math.Pi * (euler + math.Log(math.Log(t/(t-1))))
}

// Return is the value that is reached or exceeded in one year of so many.
type Return struct {
	Years  float64 // the return period T
	Days   float64 // length of the spell; NaN when Method is FitNone
	Method Fit
}

// Fit is how a return value was found.
type Fit uint8

// The fits.
const (
	FitNone   Fit = iota // too few years
	FitRanked            // between ranked years, at their plotting positions
	FitGumbel            // beyond the record: a Gumbel law with the years' mean and standard deviation
	FitChain             // a two-state chain; see Chain.Return
)

// String names the fit as outputs do.
func (f Fit) String() string { return [...]string{"none", "ranked", "gumbel", "chain"}[f] }

// ReturnOf gives the spell of return period t years, over 1. Within the reach of
// the plotting positions, t <= n+1, it lies between two ranked years; beyond it
// and with LeastYears or more, it comes from the Gumbel law, never shorter than
// the longest spell seen. Spells come in whole days and cannot be longer than
// the window, which the law does not know: a figure far beyond the record is a
// rough one.
func ReturnOf(list []YearMax, t float64) Return {
	r := Return{Years: t, Days: math.NaN()}
	n := len(list)
	if n == 0 || !(t > 1) {
		return r
	}
	x := make([]float64, n)
	for i := range list {
		x[i] = float64(list[i].Days)
	}
	slices.SortFunc(x, func(a, b float64) int { return int(b - a) }) // the largest first
	rank := float64(n+1) / t                                         // of the plotting position rank/(n+1): Weibull (1939, from memory)
	switch {
	case rank >= 1 && rank <= float64(n):
		r.Method = FitRanked
		i := int(rank)
		r.Days = x[i-1]
		if i < n {
			r.Days += (rank - float64(i)) * (x[i] - x[i-1])
		}
	case rank < 1 && n >= LeastYears:
		mean, sd := stat.MeanStdDev(x, nil)
		r.Method = FitGumbel
		r.Days = max(x[0], mean+GumbelFactor(t)*sd)
	}
	return r
}

// Return gives the spell of return period t years, over 1, within so many days
// of every year: the longest that a year reaches with a chance of 1/t or more.
// For records too short to rank years. NaN Days for a chain that never leaves a
// state.
func (c Chain) Return(t float64, days int) Return {
	r := Return{Years: t, Days: math.NaN()}
	if !(t > 1) || days < 1 || math.IsNaN(c.WetFraction()) {
		return r
	}
	r.Method = FitChain
	// The chance falls with length.
	k := sort.Search(days, func(i int) bool { return c.LongestAtLeast(i+1, days) < 1/t })
	r.Days = float64(k)
	return r
}
