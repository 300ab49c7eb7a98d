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

// MaxRateMPerDay is the fastest change between two readings, m a day, that is
// taken without a doubt. A flood beside a stream can do more for a day; on sand
// away from streams 100 mm of rain raises a table by about half a metre
// (drainable porosity 0.2). An assumption: common practice, no published source.
const MaxRateMPerDay = 1.0

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
	// Jump: the change since the reading before is faster than MaxRateMPerDay.
	// Kept, doubted: nobody but the reader of the pipe can tell which is wrong.
	Jump
)

// Doubt is one fault of one reading.
type Doubt struct {
	Fault   Fault
	Reading Reading
	Before  Reading // for Jump and SameDay, the reading it is held against
}

// Check sorts the readings of one pipe by date, leaves out what cannot be
// used, and lists every fault found. The readings given are not changed.
func Check(readings []Reading) ([]Reading, []Doubt) {
	sorted := slices.Clone(readings)
	slices.SortStableFunc(sorted, func(a, b Reading) int { return a.Date.DaysSince(b.Date) })
	var doubts []Doubt
	kept := sorted[:0]
	for _, r := range sorted {
		switch n := len(kept); {
		case math.IsNaN(r.DepthM) || math.IsInf(r.DepthM, 0):
			doubts = append(doubts, Doubt{Fault: NotNumber, Reading: r})
			continue
		case r.DepthM < 0:
			doubts = append(doubts, Doubt{Fault: AboveGround, Reading: r})
			continue
		case n > 0 && kept[n-1].Date == r.Date:
			doubts = append(doubts, Doubt{Fault: SameDay, Reading: r, Before: kept[n-1]})
			continue
		case n > 0 && math.Abs(r.DepthM-kept[n-1].DepthM) > MaxRateMPerDay*float64(r.Date.DaysSince(kept[n-1].Date)):
			doubts = append(doubts, Doubt{Fault: Jump, Reading: r, Before: kept[n-1]})
		}
		if r.DepthM == 0 {
			doubts = append(doubts, Doubt{Fault: AtSurface, Reading: r})
		}
		kept = append(kept, r)
	}
	return kept, doubts
}
