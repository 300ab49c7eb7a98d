// The chance that it stays dry.

package spells

import (
	"math"

	"github.com/golang-sql/civil"
	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// DefaultWindow is how many days before and after the calendar day count, in
	// days: with it a month's days stand for the time of year. Our choice.
	DefaultWindow = 15
	// MaxWindow is the widest window in which no day of the record counts twice.
	MaxWindow = 182
	// LeastCases is the fewest spells from which a frequency is read. With ten the
	// 90 % interval is up to half as wide as the whole range; with fewer the chain
	// says more. Our choice.
	LeastCases = 10
	// Level is the confidence of every interval given.
	Level = 0.90
)

// Method is how a chance was found.
type Method uint8

// The methods.
const (
	NoMethod Method = iota // the record is too short for either
	Counted                // frequency among the spells of the record
	Chained                // two-state Markov chain, because spells were too few
)

// String names the method as outputs do.
func (m Method) String() string { return [...]string{"none", "counted", "chain"}[m] }

// Query asks: on the morning after Date, which was the last of Dry dry days in
// a row (0: useful rain fell on it), how likely are More more dry days?
type Query struct {
	Date   civil.Date // its year does not matter
	Dry    int
	More   int
	Window int // days before and after the calendar day that count, 0 to MaxWindow
}

// Chance is the answer.
type Chance struct {
	P         float64 // 0 to 1; NaN when Method is NoMethod
	Low, High float64 // interval at Level; NaN likewise
	Method    Method

	Years int // years of the record with a known day in the window
	Cases int // spells that had lasted exactly Dry days on a day of the window and whose next More days are all known
	Held  int // of these, how many lasted More more days
	Cut   int // spells left out because one of the next More days is not known

	// The chain's evidence: days of the window, and of the More days after it,
	// whose morrow is known. WetBefore is counted only when Dry is 0.
	DryBefore, DryToDry int // dry days, and how many had a dry morrow
	WetBefore, WetToDry int // wet days, and how many had a dry morrow
}

// Chance answers a query from the record. Out of range, a query has NoMethod:
// Dry below 0, More below 1, Window outside 0 to MaxWindow.
//
// Each spell counts at most once: a case is the day on which a spell had lasted
// exactly Dry days, so that P(length >= Dry+More | length >= Dry) is estimated
// from separate spells and the score interval of Wilson (1927) holds as far as
// spells are independent of one another. With fewer than LeastCases spells a
// first-order Markov chain is fitted to the days of the window and of the More
// days after it; it forgets how long it has been dry. Its interval follows from
// the score intervals of its transition frequencies.
func (h *History) Chance(q Query) Chance {
	nan := math.NaN()
	c := Chance{P: nan, Low: nan, High: nan}
	if q.Dry < 0 || q.More < 1 || q.Window < 0 || q.Window > MaxWindow || !q.Date.IsValid() || len(h.kind) == 0 {
		return c
	}
	first, last := h.Years()
	for year := first - 1; year <= last+1; year++ {
		at := dayNumber(inYear(q.Date, year)) - h.day0
		h.cases(&c, at, &q)
		h.transitions(&c, at, &q)
	}
	switch {
	case c.Cases >= LeastCases:
		c.Method = Counted
		c.P = float64(c.Held) / float64(c.Cases)
		c.Low, c.High = Wilson(c.Held, c.Cases, Level)
	case c.DryBefore >= LeastCases && (q.Dry > 0 || c.WetBefore >= LeastCases):
		c.Method = Chained
		c.chain(&q)
	}
	return c
}

// cases counts the spells of one year's window around day at.
func (h *History) cases(c *Chance, at int, q *Query) {
	known := false
	for i := max(0, at-q.Window); i <= min(len(h.kind)-1, at+q.Window); i++ {
		known = known || h.kind[i] != Unknown
		switch {
		case h.run[i] != int32(q.Dry):
		case h.known[i] < int32(q.More):
			c.Cut++
		default:
			c.Cases++
			if h.dry[i] >= int32(q.More) {
				c.Held++
			}
		}
	}
	if known {
		c.Years++
	}
}

// transitions counts what followed the days of one year's window and of the
// More days after it, the last day of which has its morrow outside.
func (h *History) transitions(c *Chance, at int, q *Query) {
	// A window that, with the days after it, is longer than a year would count days twice.
	ahead := min(q.Window+q.More-1, 364-q.Window)
	for i := max(0, at-q.Window); i <= min(len(h.kind)-2, at+ahead); i++ {
		if h.kind[i+1] == Unknown {
			continue
		}
		dry := 0
		if h.kind[i+1] == Dry {
			dry = 1
		}
		switch h.kind[i] {
		case Dry:
			c.DryBefore++
			c.DryToDry += dry
		case Wet:
			c.WetBefore++
			c.WetToDry += dry
		}
	}
	if q.Dry > 0 {
		c.WetBefore, c.WetToDry = 0, 0
	}
}

func (c *Chance) chain(q *Query) {
	if q.Dry > 0 {
		n := float64(q.More)
		low, high := Wilson(c.DryToDry, c.DryBefore, Level)
		c.P = math.Pow(float64(c.DryToDry)/float64(c.DryBefore), n)
		c.Low, c.High = math.Pow(low, n), math.Pow(high, n)
		return
	}
	// Yesterday was wet: the first dry day follows a wet one. Both frequencies
	// are uncertain, so each has half of the doubt (Bonferroni).
	level := 1 - (1-Level)/2
	n := float64(q.More - 1)
	low0, high0 := Wilson(c.WetToDry, c.WetBefore, level)
	low, high := Wilson(c.DryToDry, c.DryBefore, level)
	c.P = float64(c.WetToDry) / float64(c.WetBefore) * math.Pow(float64(c.DryToDry)/float64(c.DryBefore), n)
	c.Low, c.High = low0*math.Pow(low, n), high0*math.Pow(high, n)
}

// Wilson is the score interval of a frequency k of n at a confidence level:
// Wilson (1927), J. Am. Stat. Assoc. 22:209-212. Without cases it is 0 to 1.
// NaN for k outside 0 to n or a level outside (0, 1).
func Wilson(k, n int, level float64) (low, high float64) {
	if k < 0 || k > n || !(level > 0 && level < 1) {
		return math.NaN(), math.NaN()
	}
	if n == 0 {
		return 0, 1
	}
	z := distuv.UnitNormal.Quantile(0.5 + level/2)
	p, m := float64(k)/float64(n), float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	low, high = mid-half, mid+half
	if k == 0 {
		low = 0 // but for rounding
	}
	if k == n {
		high = 1
	}
	return low, high
}

// ChainAround fits a two-state chain to the days [from, through] of every year
// of the record, from and through as calendar days (across New Year when
// through comes before from). days are the days with a known morrow; with
// fewer than LeastCases of either kind ok is false.
func (h *History) ChainAround(from, through civil.Date) (chain Chain, days int, ok bool) {
	if len(h.kind) == 0 || !from.IsValid() || !through.IsValid() {
		return Chain{}, 0, false
	}
	span := spanDays(from, through)
	var c Chance
	first, last := h.Years()
	for year := first - 1; year <= last; year++ {
		h.transitions(&c, dayNumber(inYear(from, year))-h.day0, &Query{More: span})
	}
	days = c.DryBefore + c.WetBefore
	if c.DryBefore < LeastCases || c.WetBefore < LeastCases {
		return Chain{}, days, false
	}
	return Chain{
		WetAfterDry: 1 - float64(c.DryToDry)/float64(c.DryBefore),
		WetAfterWet: 1 - float64(c.WetToDry)/float64(c.WetBefore),
	}, days, true
}

// spanDays is the number of days from one calendar day through another, in a
// year without 29 February, at most 365.
func spanDays(from, through civil.Date) int {
	const plain = 2025
	a, b := inYear(from, plain), inYear(through, plain)
	n := b.DaysSince(a) + 1
	if n <= 0 {
		n += 365
	}
	return n
}

// Chain is a two-state Markov chain of first order for dry and wet days
// (Gabriel and Neumann 1962, Q. J. R. Meteorol. Soc. 88:90-95, from memory). It
// knows yesterday and nothing before. Both chances are 0 to 1.
type Chain struct {
	WetAfterDry float64 // chance that a day is wet after a dry one
	WetAfterWet float64 // chance that a day is wet after a wet one
}

// WetFraction is the share of days that are wet in the long run; NaN when the
// chain never leaves a state.
func (c Chain) WetFraction() float64 { return c.WetAfterDry / (c.WetAfterDry + 1 - c.WetAfterWet) }

// MeanDryRun is the mean length of a dry spell, days.
func (c Chain) MeanDryRun() float64 { return 1 / c.WetAfterDry }

// MeanWetRun is the mean length of a wet spell, days.
func (c Chain) MeanWetRun() float64 { return 1 / (1 - c.WetAfterWet) }

// DryRunAtLeast is the chance that a dry spell lasts k days or more: the
// geometric law. 1 for k of 1 or less.
func (c Chain) DryRunAtLeast(k int) float64 {
	return math.Pow(1-c.WetAfterDry, float64(max(k-1, 0)))
}

// LongestAtLeast is the chance that the longest dry spell within so many days
// is k days or longer, the first day being wet as often as any day. Exact, by
// recursion over the length of the spell at hand; time grows as days × k.
func (c Chain) LongestAtLeast(k, days int) float64 {
	switch {
	case k < 1:
		return 1
	case k > days:
		return 0
	}
	wet := c.WetFraction()
	if math.IsNaN(wet) {
		return math.NaN()
	}
	// p[j]: no spell of k days yet and the spell at hand has j days; p[0] after a wet day.
	p := make([]float64, k)
	reached := 0.0
	p[0] = wet
	if k == 1 {
		reached = 1 - wet
	} else {
		p[1] = 1 - wet
	}
	for range days - 1 {
		toWet := p[0] * c.WetAfterWet
		for j := k - 1; j >= 1; j-- {
			toWet += p[j] * c.WetAfterDry
			longer := p[j] * (1 - c.WetAfterDry)
			if j+1 == k {
				reached += longer
			} else {
				p[j+1] = longer
			}
		}
		fromWet := p[0] * (1 - c.WetAfterWet)
		if k == 1 {
			reached += fromWet
		} else {
			p[1] = fromWet
		}
		p[0] = toWet
	}
	return min(reached, 1)
}
