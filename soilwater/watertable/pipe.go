// Depth and standard error in one pipe on any day.

package watertable

import (
	"math"
	"sort"

	"github.com/golang-sql/civil"
)

// The spread of readings and of the table between them.
const (
	// ReadingSEM is the standard error of one reading, m: a tape in a pipe, and
	// ground that is not level. An assumption: common practice, no published source.
	ReadingSEM = 0.01
	// WanderM is how far a table wanders in a day, m, where the pipe has no past
	// of its own: the middle of the eight wells of the tests over ten days
	// (0.04 to 0.43 m, median 0.16) over √10. They are in dry valleys, not on
	// sand plains.
	WanderM = 0.05
	// WanderWeight is the number of changes of its own that outweigh WanderM.
	WanderWeight = 3
	// WanderDays is how long the wander grows: in the same wells changes over
	// four months, six and twelve are about the same.
	WanderDays = 120
	// The wander is taken from changes over so many days: over fewer they are
	// ruled by what moves a table for hours, over more by the season.
	wanderFrom, wanderTo = 14, 60
)

// Basis is where a depth comes from.
type Basis uint8

const (
	// Unknown: there is no reading at all. Depth and standard error are NaN.
	Unknown Basis = iota
	// Read on that day.
	Read
	// Between two readings, on a straight line.
	Between
	// BeforeFirst: before the first reading, held at its depth.
	BeforeFirst
	// AlongRecession: after the last reading, carried along a recession.
	AlongRecession
	// HeldLast: after the last reading, held at its depth.
	HeldLast
	// Mapped: the depth on the map, with no pipe to follow.
	Mapped
)

// Estimate is the depth of the water table on a day.
type Estimate struct {
	DepthM float64 // m below ground; +Inf out of reach
	SEM    float64 // its standard error, m
	Basis  Basis
}

// Carried is how the depth is carried on after the last reading, and why.
type Carried struct {
	Last  Reading
	Held  Held  // NotHeld: along Fit
	Fit   Fit   // what was fitted, even where it is not used; zero where nothing could be
	Score Score // hindcasts of such fits on this pipe, known by the day it is carried from
	// RainOn is the last day of the rain that Held RecentRain is about.
	RainOn civil.Date
}

// Pipe is an observation pipe with its readings, as known on one day.
type Pipe struct {
	points
	carried Carried
	wander2 float64 // σ², m²/day
	drift2  float64 // the same about recessions
}

// dayZero is where days are counted from.
var dayZero = civil.Date{Year: 2000, Month: 1, Day: 1}

// New prepares a pipe from readings as [Check] leaves them, in order and one a
// day, as known on the day now: later readings are not looked at. rain gives
// the rain of a day, mm, NaN when not known; nil: no rain is known.
func New(readings []Reading, now civil.Date, rain func(civil.Date) float64) *Pipe {
	today := now.DaysSince(dayZero)
	pts := newPoints(readings, today, rain)
	n := sort.SearchInts(pts.day, today+1)
	pts.day, pts.depth = pts.day[:n], pts.depth[:n]
	h := pts.hindcasts()
	return pts.pipe(&h, n-1, today)
}

// newPoints takes readings over, and the rain from before the first of them
// through the day now.
func newPoints(readings []Reading, now int, rain func(civil.Date) float64) points {
	pts := points{day: make([]int, len(readings)), depth: make([]float64, len(readings))}
	for i, r := range readings {
		pts.day[i], pts.depth[i] = r.Date.DaysSince(dayZero), r.DepthM
	}
	if rain != nil && len(readings) > 0 {
		before := WindowDays + SettleDays + RainSpanDays
		pts.wet = newWetDays(pts.day[0]-before, now, func(day int) float64 { return rain(dayZero.AddDays(day)) })
	}
	return pts
}

// pipe is the pipe as known on the day now, with reading i its last.
func (p *points) pipe(h *past, i, now int) *Pipe {
	q := &Pipe{points: points{p.day[:i+1], p.depth[:i+1], p.wet}}
	var w wander
	for b := range i + 1 {
		w.add(p.day[b], p.depth[b])
	}
	q.wander2 = w.variance()
	if i < 0 {
		return q
	}
	c := &q.carried
	c.Last = Reading{dayZero.AddDays(p.day[i]), p.depth[i]}
	var k float64
	k, c.Score = h.best(now)
	c.Fit, c.Held = p.fit(i, now, k)
	switch {
	case c.Held == RecentRain:
		wet, _ := p.wet.last(p.day[i]-SettleDays, now)
		c.RainOn = dayZero.AddDays(wet)
	case c.Held != NotHeld:
	case c.Score.Hindcasts < MinHindcasts:
		c.Held = Untried
	case !(c.Score.Skill() > MinSkill):
		c.Held = NoSkill
	default:
		q.drift2 = c.Score.fit / float64(c.Score.Hindcasts) / HindcastLeadDays
	}
	return q
}

// Carried tells how the depth is carried on after the last reading.
func (p *Pipe) Carried() Carried { return p.carried }

// Readings is the number of readings known.
func (p *Pipe) Readings() int { return len(p.day) }

// On is the depth in the pipe on a day.
func (p *Pipe) On(d civil.Date) Estimate {
	day := d.DaysSince(dayZero)
	n := len(p.day)
	if n == 0 {
		return Estimate{math.NaN(), math.NaN(), Unknown}
	}
	j := sort.SearchInts(p.day, day)
	switch {
	case j == n:
		return p.ahead(day - p.day[n-1])
	case p.day[j] == day:
		return Estimate{p.depth[j], ReadingSEM, Read}
	case j == 0:
		return Estimate{p.depth[0], spread(p.wandered(p.day[0] - day)), BeforeFirst}
	}
	a, b := float64(day-p.day[j-1]), float64(p.day[j]-day)
	return Estimate{p.between(j, day), spread(p.wander2 * a * b / (a + b)), Between} // Brownian bridge
}

// ahead is the depth so many days after the last reading. A recession is
// followed as far as the hindcasts have judged it, HindcastLeadDays, and the
// depth held where it has come to by then.
func (p *Pipe) ahead(days int) Estimate {
	c := &p.carried
	if c.Held != NotHeld {
		return Estimate{c.Last.DepthM, spread(p.wandered(days)), HeldLast}
	}
	near := min(days, HindcastLeadDays)
	along := float64(near)
	beyond := p.wandered(days) - p.wandered(near)
	v := c.Fit.variance(along) + p.drift2*along + beyond
	return Estimate{c.Last.DepthM + c.Fit.fall(along), spread(v), AlongRecession}
}

// wandered is the variance of the table's wander over so many days, m².
func (p *Pipe) wandered(days int) float64 { return p.wander2 * float64(min(days, WanderDays)) }

// spread is the standard error of a reading and of a variance beside it, m.
func spread(variance float64) float64 { return math.Sqrt(ReadingSEM*ReadingSEM + variance) }
