// Hindcasts: forecasts made from the pipe's earlier readings in the way that
// they are made today, and how they turned out.

package watertable

import (
	"math"
	"sort"
)

// How the past is asked.
const (
	HindcastLeadDays = 10   // a forecast so far ahead is judged: about one dry spell on sand
	HindcastGapDays  = 7    // forecasts start at least so far apart, or they would all be the same one
	MaxBridgeDays    = 14   // the outcome is interpolated between readings no further apart
	MinHindcasts     = 8    // fewer tell nothing
	MinSkill         = 0.05 // of the mean squared error of no change, to be saved by the fits
)

// Score is how the hindcasts of one reservoir constant turned out, with those
// of no change from the same days.
type Score struct {
	Hindcasts int
	fit, none float64 // sums of squared errors, m²
}

// Skill is 1 - MSE(fit)/MSE(no change): 1 perfect, 0 no better than no change.
// NaN without a hindcast, or when nothing has ever changed.
func (s Score) Skill() float64 {
	if !(s.none > 0) {
		return math.NaN()
	}
	return 1 - s.fit/s.none
}

// RMSE gives the root mean square error of the fits and of no change, m.
func (s Score) RMSE() (fit, none float64) {
	n := float64(s.Hindcasts)
	return math.Sqrt(s.fit / n), math.Sqrt(s.none / n)
}

// past holds the running scores by the day on which an outcome became known.
type past struct {
	due   [len(ReservoirDays)][]int
	score [len(ReservoirDays)][]Score // after the outcome of due
}

func (p *points) hindcasts() past {
	var h past
	lastStart := math.MinInt
	for i, start := range p.day {
		if lastStart != math.MinInt && start-lastStart < HindcastGapDays {
			continue
		}
		depth, due, ok := p.outcome(start + HindcastLeadDays)
		if !ok {
			continue
		}
		lastStart = start
		for a, k := range ReservoirDays {
			f, held := p.fit(i, start, k)
			if held != NotHeld {
				continue
			}
			var s Score
			if n := len(h.score[a]); n > 0 {
				s = h.score[a][n-1]
			}
			none := depth - p.depth[i]
			fit := none - f.fall(HindcastLeadDays)
			s.Hindcasts++
			s.fit += fit * fit
			s.none += none * none
			h.due[a] = append(h.due[a], due)
			h.score[a] = append(h.score[a], s)
		}
	}
	return h
}

// outcome is the depth on a day, and the day of the reading that told it; not
// ok where no readings stand near enough around it.
func (p *points) outcome(day int) (depth float64, due int, ok bool) {
	j := sort.SearchInts(p.day, day)
	switch {
	case j == len(p.day):
		return 0, 0, false
	case p.day[j] == day:
		return p.depth[j], day, true
	case j == 0 || p.day[j]-p.day[j-1] > MaxBridgeDays:
		return 0, 0, false
	}
	return p.between(j, day), p.day[j], true
}

// between interpolates between readings j-1 and j.
func (p *points) between(j, day int) float64 {
	share := float64(day-p.day[j-1]) / float64(p.day[j]-p.day[j-1])
	return p.depth[j-1] + share*(p.depth[j]-p.depth[j-1])
}

// best is the reservoir constant whose hindcasts known on a day have shown the
// most skill, and their score. Where all are untried it is the one tried most.
func (h *past) best(now int) (k float64, s Score) {
	k = ReservoirDays[1]
	found := false
	for a := range ReservoirDays {
		n := sort.SearchInts(h.due[a], now+1)
		if n == 0 {
			continue
		}
		t := h.score[a][n-1]
		switch {
		case t.Hindcasts < MinHindcasts && (found || t.Hindcasts <= s.Hindcasts):
			continue
		case t.Hindcasts >= MinHindcasts && found && !(t.Skill() > s.Skill()):
			continue
		}
		found = found || t.Hindcasts >= MinHindcasts
		k, s = ReservoirDays[a], t
	}
	return k, s
}
