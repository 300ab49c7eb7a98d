package runplan

// This file finds out when a trip can run: it lets the arm stand through no-run
// hours, and keeps clear of no-water periods, of other machines on the well and
// of the limits on hours and volume.

import (
	"math"
	"slices"
)

// fit is what becomes of a trip that is tried at a certain start.
type fit struct {
	ok      bool
	end     float64
	retry   float64    // if not ok: the next start worth trying; +Inf never
	before  float64    // if not ok: the trip would have to be past the obstacle by then; NaN no obstacle of that kind
	why     ReasonCode // the obstacle
	other   string
	cut     bool      // the trip was shortened, to end with the horizon or a limit; why says which
	station []float64 // hour at which the arm leaves each piece of walking, in order
}

// draft is a plan in the making for all machines.
type draft struct {
	*judge
	trips  [][]trip    // by machine
	last   [][]float64 // by machine and slice: hour of the last planned water; -1 none. nil until it is asked for
	used   [][]float64 // by well and day: pumping hours
	legs   int         // of all trips
	users  int         // scores that hold it
	priced float64     // what the planner found it to cost
}

func newDraft(w *world) *draft {
	d := &draft{judge: newJudge(w), trips: make([][]trip, len(w.machs)), last: make([][]float64, len(w.machs))}
	d.used = make([][]float64, len(w.wells))
	for i := range w.wells {
		d.used[i] = make([]float64, w.p.Days)
	}
	d.begin()
	return d
}

// begin books the hours that are pumped before the plan.
func (d *draft) begin() {
	for i := range d.w.wells {
		clear(d.used[i])
		d.pumped(d.used[i], i, false)
	}
}

// reset makes the draft empty again.
func (d *draft) reset() {
	d.judge.reset()
	d.legs = 0
	for i := range d.w.machs {
		d.trips[i] = d.trips[i][:0]
		for s := range d.last[i] {
			d.last[i][s] = -1
		}
	}
	d.begin()
}

// copyFrom makes d what o is, without the trips themselves.
func (d *draft) copyFrom(o *draft) {
	d.judge.copyFrom(o.judge)
	d.legs = o.legs
	for i := range o.last {
		if o.last[i] != nil {
			copy(d.watered(i), o.last[i])
		}
	}
	for i := range o.used {
		copy(d.used[i], o.used[i])
	}
}

// watered is by slice the hour of machine i's last planned water; -1 none.
func (d *draft) watered(i int) []float64 {
	if d.last[i] == nil {
		d.last[i] = slices.Repeat([]float64{-1}, d.w.machs[i].n)
	}
	return d.last[i]
}

// commit books a trip and keeps it.
func (d *draft) commit(t trip, b *booking) {
	d.book(&t, b)
	d.trips[t.mach] = append(d.trips[t.mach], t)
}

// book books a trip.
func (d *draft) book(t *trip, b *booking) {
	m := &d.w.machs[t.mach]
	*b = booking{legs: b.legs[:0]}
	d.run(t, b)
	d.legs += len(t.legs)
	last, used := d.watered(t.mach), d.used[m.well]
	for i := range d.pieces {
		if pc := &d.pieces[i]; t.legs[pc.leg].wet {
			land(d.w, used, pc.t0, pc.t1, pc.t1-pc.t0)
			last[pc.slice] = max(last[pc.slice], pc.t1)
		}
	}
}

// try runs a trip from start, as far as it can, without booking it. It fills in
// t.start and t.pauses, and shortens t.legs where the horizon or a limit ends
// the trip early.
func (d *draft) try(t *trip, start float64, f *fit) {
	w, m := d.w, &d.w.machs[t.mach]
	ww := &w.wells[m.well]
	*f = fit{retry: math.Inf(1), before: math.NaN(), station: f.station[:0]}
	t.start, t.pauses = start, t.pauses[:0]
	now, pos := start, t.from
	volume := d.volume[m.well]
	var today float64 // hours of own pumping on the day of now
	day := w.day(now)
	for i := 0; i < len(t.legs); i++ {
		leg := &t.legs[i]
		perDeg := m.hPerDeg * 100 / leg.timer
		done := 0.0
		for leg.deg-done > degTol {
			s, step := m.stretch(pos, t.cw)
			step = min(step, leg.deg-done)
			for left := step; left > degTol; {
				if k := w.day(now); k != day {
					day, today = k, 0
				}
				h := left * perDeg
				until := now + h
				// Stand still?
				var wait *span
				if wait = hit(m.noRun, now, until); wait == nil && leg.wet {
					wait = hit(ww.noRun, now, until)
				} else if leg.wet {
					if v := hit(ww.noRun, now, until); v != nil && v.from < wait.from {
						wait = v
					}
				}
				if wait != nil && wait.from <= now+timeTol {
					if now == start {
						f.retry, f.why, f.other = wait.to, NoRunHours, wait.why
						return
					}
					if from := t.stoodFrom(now); wait.to-from > MostStand+timeTol {
						// It ends here; what is left is another pass's.
						if d.shorten(t, i, done, from, f, NoRunHours); !f.ok {
							f.retry, f.before, f.other = wait.to, from, wait.why
						}
						return
					}
					d.pause(t, now, wait.to, wait.why)
					now = wait.to
					continue
				}
				if wait != nil {
					until = min(until, wait.from)
				}
				if now >= w.end()-timeTol {
					d.shorten(t, i, done, now, f, TooLate)
					return
				}
				until = min(until, w.end())
				if leg.wet {
					if v := hit(m.noWater[s], now, until); v != nil {
						f.retry, f.before, f.why, f.other = start+v.to-now, v.from, NoWaterPeriod, v.why
						return
					}
					if m.peak[s] > ww.FlowM3H*(1+flowTol) {
						f.why = FlowShort
						return
					}
					if c := d.conflict(m.well, t.mach, m.peak[s], now, until); c != nil {
						f.retry, f.before, f.why, f.other = start+c.t1-now, c.t0, WellBusy, w.machs[c.mach].Name
						return
					}
					if ww.limits {
						until = min(until, w.dayEnd[day])
						room := ww.MaxHoursPerDay - d.used[m.well][day] - today
						if room <= timeTol {
							if now == start {
								f.retry, f.why = w.dayEnd[day], DailyLimit
								return
							}
							d.pause(t, now, w.dayEnd[day], "")
							now = w.dayEnd[day]
							continue
						}
						until = min(until, now+room)
					}
					if room := (ww.SeasonM3Left - volume) / m.flow[s]; until-now > room {
						until = now + max(0, room)
						if room <= timeTol {
							if now == start {
								f.why = SeasonLimit
								return
							}
							d.shorten(t, i, done, now, f, SeasonLimit)
							return
						}
					}
					today += until - now
					volume += (until - now) * m.flow[s]
				}
				deg := (until - now) / perDeg
				now = until
				left -= deg
				done += deg
				pos = advance(pos, deg, t.cw)
				if left <= degTol {
					done += left
					pos = advance(pos, left, t.cw)
					break
				}
			}
			f.station = append(f.station, now)
		}
	}
	f.ok, f.end = true, now
}

// MostStand is the longest that a pass stands still, hours: a day. An arm that is
// left standing longer, over a cut or a weekend, has ended its pass, and what is
// left is decided again. A rule of our own, no published source.
const MostStand = 24

// stoodFrom is since when a trip stands at now; now if it does not.
func (t *trip) stoodFrom(now float64) float64 {
	if n := len(t.pauses); n > 0 && t.pauses[n-1].to >= now-timeTol {
		return t.pauses[n-1].from
	}
	return now
}

// pause lets the arm stand from from to to.
func (d *draft) pause(t *trip, from, to float64, why string) {
	if n := len(t.pauses); n > 0 && t.pauses[n-1].to >= from-timeTol {
		t.pauses[n-1].to = to
		return
	}
	t.pauses = append(t.pauses, span{from, to, why})
}

// shorten ends a trip within leg i after done degrees.
func (d *draft) shorten(t *trip, i int, done, now float64, f *fit, why ReasonCode) {
	f.cut = true
	t.legs = t.legs[:i+1]
	// Stop on a whole degree: a panel takes no other.
	pos := t.from
	for k := range i {
		pos = advance(pos, t.legs[k].deg, t.cw)
	}
	pos = advance(pos, done, t.cw)
	if over := pos - math.Floor(pos+degTol); t.cw {
		done -= max(over, 0)
	} else if over > degTol {
		done -= 1 - over
	}
	t.legs[i].deg = max(done, 0)
	for len(t.legs) > 0 && (t.legs[len(t.legs)-1].deg <= degTol || !t.legs[len(t.legs)-1].wet) {
		t.legs = t.legs[:len(t.legs)-1]
	}
	for len(t.pauses) > 0 && t.pauses[len(t.pauses)-1].to >= now-timeTol {
		t.pauses = t.pauses[:len(t.pauses)-1]
	}
	f.why = why
	f.ok = len(t.legs) > 0
	d.pieces, f.end = d.w.machs[t.mach].walk(d.pieces[:0], t)
}

// conflict is a draw that, with flow more, would ask too much of a well within [t0, t1].
func (d *draft) conflict(well, mach int, flow, t0, t1 float64) *draw {
	limit := d.w.wells[well].FlowM3H * (1 + flowTol)
	draws := d.draws[well]
	for i := range draws {
		a := &draws[i]
		if a.mach == mach || a.t1 <= t0+timeTol || a.t0 >= t1-timeTol {
			continue
		}
		total := flow
		at := max(a.t0, t0)
		for k := range draws {
			if b := &draws[k]; b.mach != mach && b.t0 <= at+timeTol/2 && b.t1 > at+timeTol/2 {
				total += b.flow
			}
		}
		if total > limit {
			return a
		}
	}
	return nil
}
