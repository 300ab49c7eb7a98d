package runplan

// This file tidies the plan found: late starts and narrow legs.

import (
	"math"
	"slices"
)

// hurry lets each job that comes late for some of its ground start as soon as
// it can, if that costs no more: the account by days does not feel the hours.
func (x *searcher) hurry() {
	for k := 0; k < len(x.best.jobs); k++ {
		j, f := x.best.jobs[k], x.best.flown[k]
		if f.legs == 0 || f.start <= x.gridUp(x.best.at[k].free[j.mach])+timeTol || !x.late(k) {
			continue
		}
		j.after = 0
		jobs := slices.Clone(x.best.jobs)
		jobs[k] = j
		if s, ok := x.run(jobs, x.best, k); ok && s.total <= x.best.total+costTol*math.Abs(x.best.total) && s.flown[k].start < f.start {
			x.drop(x.best)
			x.best = s
		} else if ok {
			x.drop(s)
		}
	}
}

// A leg under narrowDeg must be worth narrowShare of a start: an arm is not known
// to stand so well, and a run card should be short. Our choice.
const (
	narrowDeg   = 10
	narrowShare = 0.25
)

// smooth gives narrow legs the setting of a neighbour where that costs little.
func (x *searcher) smooth() {
	worth := narrowShare * x.w.p.Prices.LabourPerStart
	for k := 0; k < len(x.best.jobs); k++ {
		// Each turn should take a leg away; two stretches that take turns would go on for ever.
		for again, turns := true, 0; again && turns < maxPlannedLegs; turns++ {
			again = false
			j := x.best.jobs[k]
			m := &x.w.machs[j.mach]
			if m.width >= narrowDeg {
				break
			}
			legs := x.legsOf(&j, x.best.flown[k].from, x.best.at[k].turn(j.mach, j.cw))
			type stretch struct{ from, to int } // stations
			var narrow []stretch
			at := 0
			for l := range legs {
				first, deg := at, 0.0
				for at < len(x.st) && deg < legs[l].deg-degTol {
					deg += x.st[at].deg
					at++
				}
				if legs[l].deg < narrowDeg-degTol {
					narrow = append(narrow, stretch{first, at})
				}
			}
			st := slices.Clone(x.st)
			var found *score
			for _, n := range narrow {
				for _, beside := range [...]int{n.from - 1, n.to} {
					if beside < 0 || beside >= len(st) {
						continue
					}
					c := j
					c.set = slices.Clone(j.set)
					for i := n.from; i < n.to; i++ {
						c.set[st[i].slice] = j.set[st[beside].slice]
					}
					jobs := slices.Clone(x.best.jobs)
					jobs[k] = c
					if s, ok := x.run(jobs, x.best, k); ok && s.total < x.best.total+worth && (found == nil || cheaper(s, found)) {
						x.drop(found)
						found = s
					} else if ok {
						x.drop(s)
					}
				}
			}
			if found != nil {
				x.drop(x.best)
				x.best, again = found, true
			}
		}
	}
}

// late tells whether ground that job k waters is past its trigger when it starts.
func (x *searcher) late(k int) bool {
	j := &x.best.jobs[k]
	t, days := x.tree[j.mach], x.w.p.Days
	start := x.best.flown[k].start
	net := x.best.at[k].water(j.mach)
	for s, set := range j.set {
		if set > 0 && t.due(x.w, s, 0, net[s*days:(s+1)*days]) < start {
			return true
		}
	}
	return false
}
