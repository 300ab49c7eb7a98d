package runplan

// This file moves the arm: a pass becomes pieces, each within one slice, one
// leg and one stretch of running.

import (
	"math"

	"sandwick/pivot"
)

// degTol is the least angle that counts, degrees: well under what a machine can
// be set to, well over the rounding of a sum of angles.
const degTol = 1e-6

// trip is a pass in hours since Now and degrees of travel.
type trip struct {
	mach   int
	start  float64
	from   float64 // azimuth
	cw     bool
	legs   []run
	pauses []span
}

// run is a leg: so many degrees at one setting.
type run struct {
	deg   float64
	wet   bool
	timer float64 // percent
}

// piece is a stretch of a trip.
type piece struct {
	slice, leg int
	deg        float64
	t0, t1     float64
}

// walk appends the pieces of a trip to dst and returns it with the time at
// which the machine is done.
func (m *mach) walk(dst []piece, t *trip) ([]piece, float64) {
	now, pos, next := t.start, t.from, 0
	for i := range t.legs {
		leg := &t.legs[i]
		perDeg := m.hPerDeg * 100 / leg.timer
		for left := leg.deg; left > degTol; {
			s, step := m.stretch(pos, t.cw)
			step = min(step, left)
			left -= step
			pos = advance(pos, step, t.cw)
			for step > 0 {
				for next < len(t.pauses) && t.pauses[next].from <= now+timeTol/2 {
					now = max(now, t.pauses[next].to)
					next++
				}
				h := step * perDeg
				if next < len(t.pauses) && now+h > t.pauses[next].from+timeTol/2 {
					h = t.pauses[next].from - now
				} else {
					dst = append(dst, piece{s, i, step, now, now + h})
					now += h
					break
				}
				deg := h / perDeg
				dst = append(dst, piece{s, i, deg, now, now + h})
				now += h
				step -= deg
			}
		}
	}
	return dst, now
}

// stretch is the slice that the arm enters from pos, and how far it reaches.
func (m *mach) stretch(pos float64, cw bool) (slice int, deg float64) {
	if cw {
		k := math.Floor((pos + degTol) / m.width)
		return int(k) % m.n, (k+1)*m.width - pos
	}
	k := math.Ceil((pos-degTol)/m.width) - 1
	return (int(k) + m.n) % m.n, pos - k*m.width
}

// advance turns the arm from pos by deg; the result is 0 <= a < 360.
func advance(pos, deg float64, cw bool) float64 {
	if cw {
		pos += deg
	} else {
		pos -= deg
	}
	if pos >= 360-degTol/2 {
		pos -= 360
	}
	if pos < 0 && pos > -degTol/2 {
		return 0
	}
	if pos < 0 {
		pos += 360
	}
	if pos < 0 {
		pos = 0
	}
	return pos
}

// along is how far it is from one azimuth to another in a direction, 0 <= d < 360;
// a distance within rounding of a whole turn is none.
func along(from, to float64, cw bool) float64 {
	d := to - from
	if !cw {
		d = -d
	}
	d = math.Mod(d, 360)
	if d < 0 {
		d += 360
	}
	if d > 360-degTol {
		d = 0
	}
	return d
}

// write turns a trip into a pass, as far as what decides it.
func (w *world) write(t *trip) Pass {
	m := &w.machs[t.mach]
	ps := Pass{Pivot: m.Name, Well: m.Well, Start: w.at(t.start), Clockwise: t.cw, StartDeg: deg(t.from)}
	at := t.from
	for i := range t.legs {
		l := &t.legs[i]
		to := advance(at, l.deg, t.cw)
		ps.Legs = append(ps.Legs, Leg{FromDeg: deg(at), ToDeg: deg(to), Water: l.wet, TimerPct: l.timer})
		at = to
	}
	ps.StopDeg = deg(at)
	for _, s := range t.pauses {
		ps.Pauses = append(ps.Pauses, Window{w.at(s.from), w.at(s.to), s.why})
	}
	return ps
}

// deg turns a plain angle into an azimuth, without the dust of additions.
func deg(a float64) pivot.Azimuth {
	if r := math.Round(a); math.Abs(a-r) < degTol {
		a = r
	}
	return pivot.Azimuth(a).Norm()
}
