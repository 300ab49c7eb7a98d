package runplan

// This file follows the ground of every zone day by day under a given plan: what
// a plot of the days to come shows.

import (
	"math"

	"sandwick/soilwater"
)

// CourseDay is one day to come of one zone under a plan, the mean over its
// ground unless said otherwise. Depths in mm, at the day's end where they are a state.
type CourseDay struct {
	DepletionMM float64
	DriestMM    float64 // depletion of the driest cell that is more than a sliver
	LowMM       float64 // least and greatest mean depletion over [Zone.Ends]; both
	HighMM      float64 // are DepletionMM where no end is given
	TriggerMM   float64
	TAWMM       float64
	RainMM      float64
	GrossMM     float64 // irrigation of the plan and of passes already under way
	NetMM       float64
	ETcMM       float64
	ETMM        float64
	UpfluxMM    float64
	PercMM      float64
}

// Course follows the ground of every zone through the horizon under the passes
// of a plan: [machine][zone][day], in the problem's order. Only what decides a
// pass is read, as by [Evaluate], and the water lands as it does there; whether
// the plan can be run is not judged. A zone without ground has no days.
func (p *Problem) Course(passes []Pass) ([][][]CourseDay, error) {
	w, err := newWorld(p)
	if err != nil {
		return nil, err
	}
	j := newJudge(w)
	for i := range passes {
		t, err := w.read(&passes[i])
		if err != nil {
			return nil, err
		}
		j.pass(&Pass{Legs: passes[i].Legs}, &t)
	}
	out := make([][][]CourseDay, len(w.machs))
	for i := range w.machs {
		out[i] = w.course(&w.machs[i], j.net[i])
	}
	return out, nil
}

// course follows the zones of one machine under net mm by slice and day; none
// where the machine is not run.
func (w *world) course(m *mach, net []float64) [][]CourseDay {
	days := w.p.Days
	out := make([][]CourseDay, len(m.Zones))
	ends := make([][]float64, len(m.Zones)) // mean depletion, [zone][end*days+day]
	area := make([]float64, len(m.Zones))
	if len(net) == 0 { // no pass waters it
		net = make([]float64, m.n*days)
	}
	for s := range m.cells {
		for i := range m.cells[s] {
			c := &m.cells[s][i]
			if out[c.zone] == nil {
				out[c.zone] = make([]CourseDay, days)
				ends[c.zone] = make([]float64, len(c.z.Ends)*days)
			}
			area[c.zone] += c.area
			row := net[s*days : (s+1)*days]
			w.walk(c, asSet(c), row, func(k int, wa *soilwater.Water, f *soilwater.Fluxes) {
				d := &out[c.zone][k]
				d.DepletionMM += c.area * f.DepletionMM
				if c.share >= sliver {
					d.DriestMM = max(d.DriestMM, f.DepletionMM)
				}
				d.TriggerMM += c.area * trigger(c.z, f.TAWMM, f.RAWMM)
				d.TAWMM += c.area * f.TAWMM
				d.RainMM += c.area * f.RainMM
				d.NetMM += c.area * wa.NetMM
				d.GrossMM += c.area * wa.NetMM / m.Efficiency
				d.ETcMM += c.area * f.ETcMM
				d.ETMM += c.area * f.ETMM
				d.UpfluxMM += c.area * f.UpfluxMM
				d.PercMM += c.area * f.PercolationMM
			})
			for e := range c.z.Ends {
				w.walk(c, endGround(c, e), row, func(k int, _ *soilwater.Water, f *soilwater.Fluxes) {
					ends[c.zone][e*days+k] += c.area * f.DepletionMM
				})
			}
		}
	}
	for z := range out {
		for k := range out[z] {
			d := &out[z][k]
			for _, x := range []*float64{&d.DepletionMM, &d.TriggerMM, &d.TAWMM, &d.RainMM, &d.NetMM, &d.GrossMM, &d.ETcMM, &d.ETMM, &d.UpfluxMM, &d.PercMM} {
				*x /= area[z]
			}
			d.DriestMM = math.Max(d.DriestMM, d.DepletionMM) // a zone of slivers
			d.LowMM, d.HighMM = d.DepletionMM, d.DepletionMM
			for e := k; e < len(ends[z]); e += days {
				mean := ends[z][e] / area[z]
				d.LowMM, d.HighMM = math.Min(d.LowMM, mean), math.Max(d.HighMM, mean)
			}
		}
	}
	return out
}

// walk steps one cell through the horizon on the ground given.
func (w *world) walk(c *cell, g ground, net []float64, day func(k int, wa *soilwater.Water, f *soilwater.Fluxes)) {
	var f soilwater.Fluxes
	for k := range w.p.Days {
		wa := c.water(k, w.p.Days)
		wa.NetMM += net[k]
		wa.TableM = g.tableM[k]
		g.column.Step(&g.state, c.demand(k), &wa, &f)
		day(k, &wa, &f)
	}
}
