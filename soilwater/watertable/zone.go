// The water table under ground that follows a pipe, or follows none.

package watertable

import (
	"math"

	"github.com/golang-sql/civil"
)

// Ground is a piece of ground with its own depth to the water table on one day.
type Ground struct {
	DepthM  float64    // m; +Inf out of reach
	Date    civil.Date // of DepthM; zero when it is not known
	Damping float64    // share of the pipe's changes that the ground follows, 0..1
}

// Under is the depth under ground that follows the pipe: its own depth, and
// the pipe's change since the day of it, damped. Never above ground. Without a
// reading in the pipe it is [Unfollowed].
//
// The error is that of the change: nothing on the day itself. What the two
// depths in the pipe are uncertain by adds up, unless the pipe cannot have
// wandered so far in the days between. How well the ground's own depth is
// known, and how well it follows the pipe, is not in it.
func (p *Pipe) Under(g Ground, d civil.Date) Estimate {
	if math.IsInf(g.DepthM, 1) || len(p.day) == 0 || !g.Date.IsValid() {
		return Unfollowed(g, d)
	}
	on, base := p.On(d), p.On(g.Date)
	days := d.DaysSince(g.Date)
	se := math.Min(
		math.Hypot(on.SEM, base.SEM),
		spread(p.wandered(max(days, -days))),
	)
	if days == 0 {
		se = 0
	}
	return Estimate{max(0, g.DepthM+g.Damping*(on.DepthM-base.DepthM)), g.Damping * se, on.Basis}
}

// Unfollowed is the depth under ground that follows no pipe: what the map says,
// with the wander of a table that nobody reads since the day of it; over
// WanderDays when that day is not known.
func Unfollowed(g Ground, d civil.Date) Estimate {
	switch {
	case math.IsInf(g.DepthM, 1):
		return Estimate{g.DepthM, 0, Mapped}
	case !g.Date.IsValid():
		return Estimate{g.DepthM, WanderM * math.Sqrt(WanderDays), Mapped}
	}
	days := d.DaysSince(g.Date)
	return Estimate{g.DepthM, WanderM * math.Sqrt(float64(min(max(days, -days), WanderDays))), Mapped}
}
