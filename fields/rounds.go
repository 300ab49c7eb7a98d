// Rounds: the passes of a machine put together to tours of the circle, to tell
// which ground was watered and which was left alone.

package fields

import (
	"time"

	"sandwick/fields/records"
)

const (
	// RoundGap is how long a machine may stand still within a round: rain, a cut
	// or a repair may stop it for a day. Common practice, no published source.
	RoundGap = 48 * time.Hour
	// roundAgainDeg is how much ground a round may water twice, degrees: where
	// passes meet they overlap a little.
	roundAgainDeg = 5.0
)

// Round is one tour of a machine: passes that follow each other and water no
// ground twice.
type Round struct {
	Pivot    int
	From, To time.Time
	WetM3    float64
	WetHours float64
	DryHours float64
	WetKWh   float64
	DryKWh   float64
	WetCost  float64   // energy and fuel
	DryCost  float64   // energy
	Wet      []float64 // by slice: share of it that was watered, 0..1
}

// Rounds are the tours of one machine in [from, to), in order. What lies outside
// is cut off.
func (f *Farm) Rounds(p int, from, to time.Time) []Round {
	m := &f.Pivots[p]
	well := &f.Wells[f.WellOf(p)]
	n := len(f.ground.machines[p].slices)
	width := 360 / float64(n)
	var out []Round
	var r *Round
	wet := make([]float64, n)
	passes := f.passes(p)
	for i := range passes {
		pass := &passes[i]
		if !pass.Start.Before(to) || !pass.End.After(from) {
			continue
		}
		clear(wet)
		m3, again := 0.0, 0.0
		f.slicesOf(p, pass, func(slice int, part, share float64, a, b time.Time) {
			if !pass.Water || !b.After(from) || !a.Before(to) {
				return
			}
			in := inside(a, b, from, to)
			m3 += in * part
			wet[slice] += in * share
			if r != nil {
				again += width * max(0, r.Wet[slice]+in*share-1)
			}
		})
		a, b := records.Latest(pass.Start, from), records.Earliest(pass.End, to)
		if r == nil || a.Sub(r.To) > RoundGap || again > roundAgainDeg {
			out = append(out, Round{Pivot: p, From: a, Wet: make([]float64, n)})
			r = &out[len(out)-1]
		}
		r.To = b
		h := b.Sub(a).Hours()
		if !pass.Water {
			r.DryHours += h
			r.DryKWh += h * m.DryPowerKW
			r.DryCost += f.energyCost(well, m.DryPowerKW, a, b)
			continue
		}
		for s := range wet {
			r.Wet[s] = min(1, r.Wet[s]+wet[s])
		}
		r.WetM3 += m3
		r.WetHours += h
		r.WetKWh += h * m.PowerKW
		r.WetCost += f.energyCost(well, m.PowerKW, a, b) + h*well.FuelPerH
	}
	return out
}

// inside is the share of [a, b) that lies in [from, to).
func inside(a, b, from, to time.Time) float64 {
	whole := b.Sub(a)
	if whole <= 0 {
		return 1
	}
	return float64(records.Earliest(b, to).Sub(records.Latest(a, from))) / float64(whole)
}
