// Machines of one well that ran with water at the same time: what they drew
// together is held against what the well gives.

package records

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/et/input"
)

// Limits beyond which two passes on one well are doubted. Common practice, no
// published source.
const (
	overdrawnShare = 1.05
	overdrawnFor   = 15 * time.Minute
)

// Overdrawn is a stretch of time in which the passes recorded on a well want
// more than it gives: a time, a machine or the word for water must be wrong, and
// the books have too much water.
type Overdrawn struct {
	Well      string
	From, To  time.Time
	Machines  []string
	Share     float64 // the most they want, of what the well gives
	SurplusM3 float64 // what they want and the well cannot give, m³
	pass      int     // whose start begins it
}

// Names are the machines in words.
func (o *Overdrawn) Names() string {
	n := len(o.Machines) - 1
	return strings.Join(o.Machines[:n], ", ") + " and " + o.Machines[n]
}

// turn is a machine that begins to draw, or ends.
type turn struct {
	at      int64 // Unix time, seconds
	pass    int32
	machine int16
	on      int8 // 1 begins, -1 ends
}

// overdrawn finds these stretches, well by well. The end guns are left out: the
// nozzles may share with them.
func (rd *reader) overdrawn(passes []Pass) []Overdrawn {
	type well struct {
		flow, wanted float64
		turns        []turn
	}
	wells := map[string]*well{}
	machines := map[string]int16{}
	for i, m := range rd.farm.Machines {
		flow := rd.farm.Totalisers[m.Well].FlowM3H
		if !(flow > 0) || !(m.FlowM3H > 0) {
			continue
		}
		machines[m.Name] = int16(i)
		if wells[m.Well] == nil {
			wells[m.Well] = &well{flow: flow}
		}
		wells[m.Well].wanted += m.FlowM3H
	}
	for i := range passes {
		p := &passes[i]
		k, known := machines[p.Pivot]
		if !known || !p.Water {
			continue
		}
		if w := wells[rd.farm.Machines[k].Well]; w.wanted > overdrawnShare*w.flow {
			w.turns = append(w.turns, turn{p.Start.Unix(), int32(i), k, 1}, turn{p.End.Unix(), int32(i), k, -1})
		}
	}
	var out []Overdrawn
	for name, w := range wells {
		out = append(out, rd.overdrawnWell(name, w.flow, w.turns)...)
	}
	slices.SortFunc(out, func(a, b Overdrawn) int {
		return cmp.Or(a.From.Compare(b.From), strings.Compare(a.Well, b.Well))
	})
	return out
}

// overdrawnWell goes through the turns of the machines of one well in order.
func (rd *reader) overdrawnWell(name string, gives float64, turns []turn) (out []Overdrawn) {
	slices.SortFunc(turns, func(a, b turn) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.pass, b.pass)) })
	running := map[int16]int{} // passes of each machine: they may overlap by mistake
	var open *Overdrawn
	for i := 0; i < len(turns); {
		at, begun := turns[i].at, -1
		for ; i < len(turns) && turns[i].at == at; i++ {
			running[turns[i].machine] += int(turns[i].on)
			if turns[i].on > 0 {
				begun = int(turns[i].pass)
			}
		}
		draw, count := 0.0, 0
		for k, n := range running {
			if n > 0 {
				draw += rd.farm.Machines[k].FlowM3H
				count++
			}
		}
		over := count > 1 && draw > overdrawnShare*gives
		switch {
		case over && open == nil && begun >= 0:
			open = &Overdrawn{Well: name, From: time.Unix(at, 0), pass: begun}
		case !over && open != nil:
			if open.To.Sub(open.From) > overdrawnFor {
				out = append(out, *open)
			}
			open = nil
		}
		if open == nil || i == len(turns) {
			continue
		}
		open.To = time.Unix(turns[i].at, 0)
		open.Share = math.Max(open.Share, draw/gives)
		open.SurplusM3 += (draw - gives) * float64(turns[i].at-at) / 3600
		for k, n := range running {
			if m := rd.farm.Machines[k].Name; n > 0 && !slices.Contains(open.Machines, m) {
				open.Machines = append(open.Machines, m)
			}
		}
		slices.Sort(open.Machines)
	}
	return out
}

// doubtOverdrawn tells of them, each at the start of the pass that begins it.
func (rd *reader) doubtOverdrawn(all []Overdrawn, start func(pass int) input.Cell) {
	for i := range all {
		o := &all[i]
		rd.doubt(start(o.pass), "from %s to %s %s ran with water at once and want %.0f %% of what the well, %s, gives; one of their times or machines, or its water, may be wrong",
			Clock(o.From, rd.farm.Location), Clock(o.To, rd.farm.Location), o.Names(), 100*o.Share, o.Well)
	}
}

// onOneWell are names of machines and those of all that share a well with them.
func (f *Farm) onOneWell(names []string) []string {
	out := slices.Clone(names)
	for _, name := range names {
		m := f.machine(name)
		if m == nil || m.Well == "" {
			continue
		}
		for _, o := range f.Machines {
			if o.Well == m.Well && !slices.Contains(out, o.Name) {
				out = append(out, o.Name)
			}
		}
	}
	return out
}
