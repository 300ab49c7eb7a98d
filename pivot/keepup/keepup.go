// Package keepup asks whether the pumps can keep the ground from falling behind
// over the days of a problem, and if not, from what day which ground does and
// what to give up first. With the rain of the problem set to none it is the
// question of a dry spell.
//
// It is a book of capacity by well and day, not a plan. Every day each well has
// its hours (less no-run hours, the daily limit and the pass now running) and
// its season's water; each machine waters whole slices, the one that will be
// due first, first, up to what they lack. Left out on purpose, and always on
// the side of the pumps: the walk over ground that needs no water, the order of
// slices round the circle, the limit on timer settings, and hours lost to
// starting. What falls behind here no plan can save but by watering still
// earlier than [MaxLeadDays] ahead; what holds here a real plan may just miss.
//
// Ground is behind when it ends a day past its trigger and would not have with
// pumps without limit: what no-water periods before a cut cost is not laid at
// the pumps' door. The soil is stepped with the same columns as everywhere else.
// Nothing here reads a file or a clock.
package keepup

// This file has what goes in and comes out, and the loop that gives up ground.

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"sandwick/pivot/runplan"
)

const (
	// sliver is the share of a slice, or of a zone, below which ground decides nothing.
	sliver = 0.01
	// behindMM is how far past its trigger ground must end a day to be behind, mm:
	// less can be seen by no probe. Common practice, no published source.
	behindMM = 1.0
	// stressTol is the least fall of Ks below 1 that is taken for stress.
	stressTol = 1e-6
	// leastSavingM3 is the least water worth giving ground up for, m³: minutes of pumping.
	leastSavingM3 = 1.0
	// MinLeadDays and MaxLeadDays bound how long before it is due ground may be
	// watered: the time of one round of refilling, within these limits. Watering
	// everything every day would only raise evaporation.
	MinLeadDays, MaxLeadDays = 1, 14
)

// Result is the answer, one entry for each well that feeds a machine with ground.
type Result struct {
	Days  int
	Wells []Well
}

// Well is how one well and its machines come through.
type Well struct {
	Name       string
	AreaM2     float64 // ground of its machines that has a water balance
	NeedMM     float64 // net water a day that keeps this ground at or above its trigger, mean over the days, mm/day
	CapacityMM float64 // net water a day that its hours can give this ground, mean over the days, mm/day
	Hours      float64 // hours a day that it may run, mean over the days
	SeasonOut  int     // day on which the season's water no longer does for the next slice; -1 it lasts
	RoundDays  float64 // days in which it can refill all its ground once, within MinLeadDays and MaxLeadDays
	Behind     []Ground
	// Holds tells whether the pumps hold: nothing is behind on more days than one
	// round takes, which is what a backlog, or ground that all comes due at once,
	// costs even pumps that are strong enough. The days of a round after the last
	// count too, with the last day's demand and no rain: what is behind at the end
	// may just be about to be caught up, or not.
	Holds bool
	// GiveUp lists the ground to give up, in this order, so that the pumps hold for
	// the rest; empty when they do anyway. Enough tells whether it does the job.
	GiveUp []Loss
	Enough bool
}

// KeepsUp tells whether no ground of the well is ever behind.
func (w *Well) KeepsUp() bool { return len(w.Behind) == 0 }

// CatchesUp is the first day from which on no ground is behind any more; ok is
// false when some still is on the last day.
func (w *Well) CatchesUp(days int) (day int, ok bool) {
	for i := range w.Behind {
		day = max(day, w.Behind[i].Through+1)
	}
	return day, day < days
}

// Ground is a zone that is behind on some day. Days count from 0, the day of
// Problem.Now.
type Ground struct {
	Machine, Zone int     // indices into Problem.Machines and its Zones
	From, Through int     // first and last day behind
	Late          int     // days behind, of those between
	Stress        int     // first day it is short of water on account of the pumps; -1 never
	WorstMM       float64 // furthest past the trigger, driest cell, mm
	UnmetMM       float64 // ET lost to the pumps over all days, mean over the zone, mm

	after int // days behind after the last day looked at
}

// Loss is what giving a zone up costs and saves over the days looked at.
type Loss struct {
	Machine, Zone int
	WaterM3       float64 // pumped less when it asks for none; what falls on it because a neighbour in its slice asks is not saved
	UnmetMM       float64 // ET lost by that, mean over the zone, mm
	Value         float64 // crop lost, currency; NaN where crop value or Ky is not known
	PerM3         float64 // Value per m³ of water; NaN likewise
}

// Check looks at every well. The error is for a problem that makes no sense.
func Check(p *runplan.Problem) (Result, error) {
	if err := sound(p); err != nil {
		return Result{}, err
	}
	r := Result{Days: p.Days}
	for i := range p.Wells {
		b := newBook(p, i)
		if len(b.cells) > 0 {
			r.Wells = append(r.Wells, b.well())
		}
	}
	return r, nil
}

func sound(p *runplan.Problem) error {
	if p.Days < 1 || p.Now.IsZero() {
		return errors.New("keepup: a problem without days or without Now")
	}
	for i := range p.Machines {
		m := &p.Machines[i]
		if !slices.ContainsFunc(p.Wells, func(w runplan.Well) bool { return w.Name == m.Well }) {
			return fmt.Errorf("keepup: machine %q: there is no well %q", m.Name, m.Well)
		}
		if !(m.FlowM3H > 0 && m.Efficiency > 0 && m.HoursAtFull > 0) {
			return fmt.Errorf("keepup: machine %q: flow, hours at full timer and efficiency must be above 0", m.Name)
		}
		for z := range m.Zones {
			if zn := &m.Zones[z]; zn.Column == nil || len(zn.Demand) < p.Days || len(zn.TableM) < p.Days || len(zn.RainMM) < p.Days {
				return fmt.Errorf("keepup: zone %q: column, demand, table or rain is missing", zn.Name)
			}
		}
		for c := range m.Cells {
			if cl := &m.Cells[c]; cl.Zone >= len(m.Zones) || cl.Zone >= 0 && (cl.Slice < 0 || cl.Slice >= len(m.SliceM2)) {
				return fmt.Errorf("keepup: machine %q: cell %d is of zone %d and slice %d", m.Name, c, cl.Zone, cl.Slice)
			}
		}
	}
	return nil
}

// well runs the book as often as it takes to know what to give up.
func (b *book) well() Well {
	w := Well{Name: b.wellOf.Name, Hours: floats.Sum(b.clock[:b.days]) / float64(b.days)}
	for i := range b.cells {
		w.AreaM2 += b.cells[i].AreaM2
	}
	w.CapacityMM = b.capacityM3() * 1000 / w.AreaM2 / float64(b.days)

	free, held := b.newRun(), b.newRun()
	b.run(free, true)
	b.run(held, false)
	w.SeasonOut, w.RoundDays = held.seasonOut, b.lead
	w.NeedMM = free.netM3 * 1000 / w.AreaM2 / float64(b.days)
	w.Behind = b.behind(held, free)

	w.Holds = b.holds(w.Behind)
	w.Enough = w.Holds
	if !w.Holds {
		w.GiveUp, w.Enough = b.giveUp(free)
	}
	return w
}

// giveUp gives up one zone after the other until the pumps hold for the rest,
// and then takes back those that turn out not to matter.
func (b *book) giveUp(free *run) (list []Loss, enough bool) {
	held := b.newRun()
	holds := func(l *Loss, given bool) bool {
		b.zones[b.zoneOf(l.Machine, l.Zone)].given = given
		b.run(held, false)
		return b.holds(b.behind(held, free))
	}
	for _, l := range b.losses(free) {
		list = append(list, l)
		if enough = holds(&l, true); enough {
			break
		}
	}
	if enough {
		list = slices.DeleteFunc(list, func(l Loss) bool {
			if holds(&l, false) {
				return true
			}
			b.zones[b.zoneOf(l.Machine, l.Zone)].given = true
			return false
		})
	}
	return list, enough
}

// holds tells whether what is behind is no more than a round's lateness.
func (b *book) holds(list []Ground) bool {
	return !slices.ContainsFunc(list, func(g Ground) bool { return g.Late+g.after > b.round() })
}

// behind compares what happened with what pumps without limit would have done.
func (b *book) behind(held, free *run) []Ground {
	var out []Ground
	for z := range b.zones {
		zn := &b.zones[z]
		if zn.given {
			continue
		}
		g := Ground{Machine: zn.machine, Zone: zn.zone, From: -1, Stress: -1}
		for d := range b.span {
			h, f := &held.zone[z*b.span+d], &free.zone[z*b.span+d]
			late := h.pastM2-f.pastM2 > sliver*zn.areaM2
			if d >= b.days {
				if late {
					g.after++
				}
				continue
			}
			if late {
				if g.From < 0 {
					g.From = d
				}
				g.Through = d
				g.Late++
				g.WorstMM = max(g.WorstMM, h.worstMM)
			}
			if g.Stress < 0 && h.stressM2-f.stressM2 > sliver*zn.areaM2 {
				g.Stress = d
			}
			g.UnmetMM += (h.unmetM3 - f.unmetM3) * 1000 / zn.areaM2
		}
		if g.From >= 0 {
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, c Ground) int {
		return cmp.Or(cmp.Compare(a.From, c.From), cmp.Compare(c.WorstMM, a.WorstMM))
	})
	return out
}

// losses lists the zones that ask for water, the one with the least loss per
// water first. Where the value of a zone is not known, all are ranked by lost ET
// per water.
func (b *book) losses(free *run) []Loss {
	var out []Loss
	known := true
	r := b.newRun()
	for z := range b.zones {
		zn := &b.zones[z]
		zn.given = true
		b.run(r, true)
		zn.given = false
		l := Loss{Machine: zn.machine, Zone: zn.zone, WaterM3: free.grossM3 - r.grossM3}
		if l.WaterM3 < leastSavingM3 {
			continue
		}
		var unmet float64
		for d := range b.days {
			unmet += r.zone[z*b.span+d].unmetM3 - free.zone[z*b.span+d].unmetM3
		}
		l.UnmetMM = max(0, unmet*1000/zn.areaM2)
		rz := &b.p.Machines[zn.machine].Zones[zn.zone]
		l.Value = math.NaN()
		if rz.YieldValuePerM2 > 0 && rz.SeasonETMM > 0 && !math.IsNaN(rz.Ky) {
			// Value × Ky × ET lost / seasonal ET (FAO-56 Eq. 90, after FAO-33), by area;
			// all of it at most.
			l.Value = rz.YieldValuePerM2 * zn.areaM2 * min(1, rz.Ky*l.UnmetMM/rz.SeasonETMM)
		}
		l.PerM3 = l.Value / l.WaterM3
		known = known && !math.IsNaN(l.Value)
		out = append(out, l)
	}
	key := func(l *Loss) float64 {
		if known {
			return l.PerM3
		}
		return l.UnmetMM * b.zones[b.zoneOf(l.Machine, l.Zone)].areaM2 / l.WaterM3
	}
	slices.SortStableFunc(out, func(a, c Loss) int { return cmp.Compare(key(&a), key(&c)) })
	return out
}
