package runplan

// This file has time as the evaluator sees it: hours since Problem.Now, the
// ends of the calendar days, windows, and the price of energy by the clock.

import (
	"math"
	"slices"
	"time"
)

// timeTol is the least time that counts: a second, in hours. Plans are written
// with whole seconds, so that anything shorter is rounding.
const timeTol = 1.0 / 3600

// span is a window in hours since Now.
type span struct {
	from, to float64
	why      string
}

// clock turns instants into hours since Now and back.
type clock struct {
	now      time.Time
	midnight float64   // hours from Now back to the start of its calendar day; not above 0
	dayEnd   []float64 // hours from Now to the end of each calendar day
}

func newClock(now time.Time, days int) clock {
	c := clock{now: now, dayEnd: make([]float64, days)}
	y, m, d := now.Date()
	c.midnight = c.hours(time.Date(y, m, d, 0, 0, 0, 0, now.Location()))
	for k := range c.dayEnd {
		// The start of the next calendar day, whatever the clocks do in between.
		c.dayEnd[k] = c.hours(time.Date(y, m, d+k+1, 0, 0, 0, 0, now.Location()))
	}
	return c
}

func (c *clock) hours(t time.Time) float64 { return t.Sub(c.now).Hours() }

// at is the instant h hours after Now, to the second.
func (c *clock) at(h float64) time.Time {
	return c.now.Add(time.Duration(math.Round(h*3600)) * time.Second)
}

// end is the end of the horizon.
func (c *clock) end() float64 { return c.dayEnd[len(c.dayEnd)-1] }

// day is the calendar day of the horizon that hour h lies in; the last one for
// hours after it.
func (c *clock) day(h float64) int {
	for k, e := range c.dayEnd {
		if h < e {
			return k
		}
	}
	return len(c.dayEnd) - 1
}

// dayStart is the hour at which day k begins, or 0 (now) for the first.
func (c *clock) dayStart(k int) float64 {
	if k == 0 {
		return 0
	}
	return c.dayEnd[k-1]
}

// spans turns windows into spans since Now, sorted, without those that are over
// or empty. Windows may overlap; they are not merged, so that each keeps its reason.
func (c *clock) spans(ws ...[]Window) []span {
	var out []span
	for _, list := range ws {
		for _, w := range list {
			s := span{c.hours(w.From), c.hours(w.To), w.Why}
			if s.to > 0 && s.to > s.from {
				out = append(out, s)
			}
		}
	}
	slices.SortFunc(out, func(a, b span) int {
		switch {
		case a.from != b.from:
			return cmpFloat(a.from, b.from)
		case a.to != b.to:
			return cmpFloat(a.to, b.to)
		}
		return cmpString(a.why, b.why)
	})
	return out
}

// hit is the first span that [t0, t1) runs into by more than a second, or nil.
func hit(list []span, t0, t1 float64) *span {
	for i := range list {
		s := &list[i]
		if s.from >= t1-timeTol {
			return nil
		}
		if min(s.to, t1)-max(s.from, t0) > timeTol {
			return s
		}
	}
	return nil
}

// tariff is the price of energy, constant within each quarter of an hour of the
// clock, as a running integral.
type tariff struct {
	from float64   // hours since Now of the first quarter; the clock's quarter that holds Now
	cum  []float64 // currency per kW from there to the start of each quarter
}

const quarter = 0.25 // hours

func newTariff(c *clock, price func(time.Time) float64) tariff {
	if price == nil {
		return tariff{}
	}
	first := c.now.Truncate(15 * time.Minute) // all zones in use are whole quarters from UTC
	t := tariff{from: c.hours(first)}
	n := int(math.Ceil((c.end() - t.from) / quarter))
	t.cum = make([]float64, n+1)
	for i := range n {
		t.cum[i+1] = t.cum[i] + quarter*price(first.Add(time.Duration(i)*15*time.Minute).In(c.now.Location()))
	}
	return t
}

// cost is the integral of the price over [t0, t1], currency per kW.
func (t *tariff) cost(t0, t1 float64) float64 { return t.upTo(t1) - t.upTo(t0) }

func (t *tariff) upTo(h float64) float64 {
	if len(t.cum) < 2 {
		return 0
	}
	x := (h - t.from) / quarter
	i := min(max(int(x), 0), len(t.cum)-2)
	return t.cum[i] + (x-float64(i))*(t.cum[i+1]-t.cum[i])
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func cmpString(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
