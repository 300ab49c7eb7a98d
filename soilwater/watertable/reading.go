// Readings, and what can be wrong with them.

package watertable

import (
	"math"
	"slices"

	"github.com/golang-sql/civil"
)

// Reading is the depth of the water table below ground in a pipe on a day, m.
type Reading struct {
	Date   civil.Date
	DepthM float64
}

// A change since the reading before is doubted past JumpM and JumpWanders times
// the wander of the pipe over the days between. On sand 100 mm of rain raises a
// table by half a metre (drainable porosity 0.2); a flood beside a
// stream can do more: on the eight wells of the tests, dry valleys with floods,
// less than one sound reading in a thousand is doubted. Assumptions: common
// practice, no published source.
const (
	JumpM       = 0.5
	JumpWanders = 6
)

// Fault is what is wrong with a reading.
type Fault uint8

const (
	// NotNumber: the depth is NaN or infinite. The reading is left out.
	NotNumber Fault = iota + 1
	// AboveGround: the depth is negative. The reading is left out.
	AboveGround
	// AtSurface: the depth is zero, water standing at the surface. Kept, doubted.
	AtSurface
	// SameDay: another reading of the same day comes before it. Left out.
	SameDay
	// Jump: the change since the reading before is larger than a table makes it.
	// Left out, unless the next reading agrees with it: one reading against
	// another does not tell which is wrong, two do.
	Jump
)

// Doubt is one fault of one reading.
type Doubt struct {
	Fault   Fault
	Reading Reading
	Before  Reading // for Jump and SameDay, the reading it is held against
	LimitM  float64 // for Jump, the change up to which there is no doubt
	By      Reading // for Jump, the later reading that agrees with it; the zero Reading if none
}

// Used tells whether the reading is used for all that.
func (d *Doubt) Used() bool {
	return d.Fault == AtSurface || d.Fault == Jump && d.By.Date.IsValid()
}

// Check sorts the readings of one pipe by date, leaves out what is not to be
// used, and lists every fault found. The readings given are not changed. What
// is known on a day is what Check says of the readings through that day.
func Check(readings []Reading) (used []Reading, doubts []Doubt) {
	sorted := slices.Clone(readings)
	slices.SortStableFunc(sorted, func(a, b Reading) int { return a.Date.DaysSince(b.Date) })
	var w wander
	use := func(r Reading) {
		used = append(used, r)
		w.add(r.Date.DaysSince(dayZero), r.DepthM)
	}
	open := -1 // the doubt that the next reading may settle
	for i, r := range sorted {
		switch {
		case math.IsNaN(r.DepthM) || math.IsInf(r.DepthM, 0):
			doubts = append(doubts, Doubt{Fault: NotNumber, Reading: r})
			continue
		case r.DepthM < 0:
			doubts = append(doubts, Doubt{Fault: AboveGround, Reading: r})
			continue
		}
		if first, twice := sameDay(sorted[:i], r.Date); twice {
			doubts = append(doubts, Doubt{Fault: SameDay, Reading: r, Before: first})
			continue
		}
		if len(used) > 0 {
			before := used[len(used)-1]
			change, limit := w.change(before, r)
			if open >= 0 {
				d := &doubts[open]
				if again, most := w.change(d.Reading, r); again <= min(most, change) {
					d.By = r
					w.restart() // the jump is no wander
					use(d.Reading)
					before = d.Reading
					change, limit = again, most
				}
				open = -1
			}
			if change > limit {
				open = len(doubts)
				doubts = append(doubts, Doubt{Fault: Jump, Reading: r, Before: before, LimitM: limit})
			}
		}
		if r.DepthM == 0 {
			doubts = append(doubts, Doubt{Fault: AtSurface, Reading: r})
		}
		if open < 0 {
			use(r)
		}
	}
	return used, doubts
}

// sameDay is the first sound reading of a day among those in order.
func sameDay(sorted []Reading, d civil.Date) (first Reading, twice bool) {
	for i := len(sorted) - 1; i >= 0 && sorted[i].Date == d; i-- {
		if sorted[i].DepthM >= 0 && !math.IsInf(sorted[i].DepthM, 1) {
			first, twice = sorted[i], true
		}
	}
	return first, twice
}

// wander is how far a table has been found to move, reading by reading.
type wander struct {
	sum, n float64 // of squared changes by day, m²/day
	day    int     // and depth from which the change to come is taken
	depth  float64
	begun  bool
}

// add takes the next reading.
func (w *wander) add(day int, depth float64) {
	days := day - w.day
	switch {
	case !w.begun:
	case days < wanderFrom:
		return
	case days <= wanderTo:
		d := depth - w.depth
		w.sum += d * d / float64(days)
		w.n++
	}
	w.day, w.depth, w.begun = day, depth, true
}

// restart has the next change taken from the next reading.
func (w *wander) restart() { w.begun = false }

// variance is σ², m²/day.
func (w *wander) variance() float64 {
	return (WanderWeight*WanderM*WanderM + w.sum) / (WanderWeight + w.n)
}

// change is that from one reading to another, m, and the one up to which there
// is no doubt.
func (w *wander) change(from, to Reading) (m, limit float64) {
	days := float64(to.Date.DaysSince(from.Date))
	return math.Abs(to.DepthM - from.DepthM), JumpM + JumpWanders*math.Sqrt(w.variance()*days)
}
