// What is not known of the ground, and its water followed under each end of it.
//
// Three things are not known well: how far wet roots stand in for dry ones
// (between not at all and without limit), the depth of the water table (its
// plus-minus on the day of the map and the error of its change since), and the
// soil's reach (its plus-minus). The ends are run from the season's start, one
// at a time; runplan makes the range of days left of them.
//
// Ground that no water table reaches at any end, and ground of one layer, have
// fewer ends or none: there is nothing to ask.

package fields

import (
	"math"
	"slices"
	"sync"

	"sandwick/fields/settings"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
	"sandwick/soilwater/hydraulics"
	"sandwick/soilwater/watertable"
)

// The ends of root compensation: none, and so much that one wet quarter of the
// roots can feed the whole crop. What roots do lies in between.
const (
	compensationLeast = 1
	compensationMost  = 20
)

// end is one end of a zone.
type end struct {
	runplan.End
	sign float64 // the plus-minus of the table is taken so many times
}

// Uncertainty is what the ends of a zone go by.
type Uncertainty struct {
	// Within says that the water table is within reach of the roots at some end.
	Within bool
	// TablePlusMinusM is one standard error of the depth today, m: of the depth on
	// the map and of its change since.
	TablePlusMinusM float64
	ReachM          float64 // NaN without a water table
	ReachPlusMinusM float64
	// Assumed say that no plus-minus is given, and the program's own is taken.
	TableAssumed, ReachAssumed bool
}

// Uncertainty tells what is not known of a zone's ground.
func (s *Season) Uncertainty(zone int) Uncertainty {
	f := s.Farm
	z, g := &f.Zones[zone], &f.ground.zones[zone]
	u := Uncertainty{ReachM: math.NaN()}
	if math.IsInf(z.TableM, 1) {
		return u
	}
	u.ReachM = f.reachM(zone)
	u.TableAssumed = math.IsNaN(z.PlusMinusM) && math.IsNaN(f.Start.TablePlusMinusM)
	o := &f.Soils[g.soil]
	u.ReachAssumed = math.IsNaN(o.ReachPlusMinusM)
	u.ReachPlusMinusM = min(o.ReachDoubt(u.ReachM), u.ReachM-settings.LeastReachM)
	u.TablePlusMinusM = f.plusMinus(zone, s.Table(zone, s.Today))
	u.Within = s.within(zone, &u)
	return u
}

// reachM is the reach of the soil under a zone with a water table: as farm.toml
// has it, or else that of the deepest horizon, which takes some work.
func (f *Farm) reachM(zone int) float64 {
	g := &f.ground.zones[zone]
	if set := f.Soils[g.soil].ReachM; !math.IsNaN(set) {
		return set
	}
	return g.column.ReachM()
}

// plusMinus is one standard error of the depth of a zone's water table on a day.
func (f *Farm) plusMinus(zone int, e watertable.Estimate) float64 {
	mapped := f.Zones[zone].PlusMinusM
	if math.IsNaN(mapped) {
		mapped = f.Start.TablePlusMinusM
	}
	if math.IsNaN(mapped) {
		mapped = settings.DefaultTablePlusMinusM
	}
	return math.Hypot(mapped, e.SEM)
}

// What a water table brings that is nothing: mm a day, and mm more held.
const nothingMM = 0.1

// within tells whether the table feeds or wets the column at its highest end.
func (s *Season) within(zone int, u *Uncertainty) bool {
	f := s.Farm
	c := f.Column(zone)
	least := math.Inf(1)
	for d := range s.days {
		e := s.tables.on(zone, s.Date(d))
		least = min(least, e.DepthM-f.plusMinus(zone, e))
	}
	e := s.Table(zone, s.Today)
	least = max(0, min(least, e.DepthM-f.plusMinus(zone, e)))
	// Heights scale with reach, so a longer reach is a nearer table.
	root := c.Profile().RootMaxM
	near := least
	if least > root {
		near = root + (least-root)*u.ReachM/(u.ReachM+u.ReachPlusMinusM)
	}
	var none soilwater.State
	layers := c.Layers(&none, near)
	foot := &layers[len(layers)-1]
	return foot.FluxMMPerDay > nothingMM || foot.FullMM-foot.DrainedMM > nothingMM
}

// ends lists the ends of a zone; none where nothing is open.
func (s *Season) ends(zone int) []end {
	f := s.Farm
	c := f.Column(zone)
	u := s.Uncertainty(zone)
	limit := f.Start.Compensation
	least, most := min(limit, compensationLeast), max(limit, compensationMost)
	layered := f.Start.Layers > 1
	var out []end
	add := func(kind runplan.EndKind, limit, sign, reach float64) {
		column := c
		if !math.IsNaN(reach) && reach != u.ReachM {
			column = s.reaches.of(c, reach)
		}
		if limit != f.Start.Compensation {
			column = column.WithCompensation(limit)
		}
		out = append(out, end{runplan.End{
			Kind: kind, Compensation: limit, TableByM: sign * u.TablePlusMinusM, ReachM: reach, Column: column,
		}, sign})
	}
	if layered && least < limit {
		add(runplan.RootsAlone, least, 0, u.ReachM)
	}
	if layered && most > limit {
		add(runplan.RootsJoined, most, 0, u.ReachM)
	}
	if u.Within {
		add(runplan.TableDeeper, limit, 1, u.ReachM)
		add(runplan.TableHigher, limit, -1, u.ReachM)
		if u.ReachPlusMinusM > 0 {
			add(runplan.ReachShorter, limit, 0, u.ReachM-u.ReachPlusMinusM)
			add(runplan.ReachLonger, limit, 0, min(u.ReachM+u.ReachPlusMinusM, hydraulics.MostReachM))
		}
	}
	return out
}

// shifted are table depths moved to an end.
func (f *Farm) shifted(zone int, sign float64, table []watertable.Estimate) []float64 {
	out := make([]float64, len(table))
	for d, e := range table {
		out[d] = e.DepthM
		if sign != 0 {
			out[d] = max(0, e.DepthM+sign*f.plusMinus(zone, e))
		}
	}
	return out
}

// reaches makes and shares the columns with another reach.
type reaches struct {
	mu   sync.Mutex
	made map[reachKey]func() *soilwater.Column
}

type reachKey struct {
	column *soilwater.Column
	reach  float64
}

// of is the column with another reach.
func (r *reaches) of(c *soilwater.Column, reach float64) *soilwater.Column {
	r.mu.Lock()
	if r.made == nil {
		r.made = map[reachKey]func() *soilwater.Column{}
	}
	key := reachKey{c, reach}
	made := r.made[key]
	if made == nil {
		made = sync.OnceValue(func() *soilwater.Column { return sound(c.WithReach(reach)) })
		r.made[key] = made
	}
	r.mu.Unlock()
	return made()
}

func sound(c *soilwater.Column, err error) *soilwater.Column {
	if err != nil {
		// Settings and the limits of the grid keep every reach within what the
		// hydraulics can be scaled to.
		panic("fields: " + err.Error())
	}
	return c
}

// history is cells of one zone that got the same water all season: they hold
// the same under any assumption.
type history struct {
	gross  []float64 // by day
	areaM2 float64
	cells  []int // indices into the farm's cells
}

// histories sorts the cells of a zone by the water they got.
func (w *walker) histories(zone int) []history {
	f := w.Farm
	g := &f.ground.zones[zone]
	var out []history
	for c := g.from; c < g.to; c++ {
		cell := &f.ground.cells[c]
		gross := make([]float64, w.days)
		if g.pivot >= 0 {
			wg := &w.waterings[g.pivot]
			for d := range gross {
				gross[d] = wg.grossMM[d*wg.slices+cell.Slice]
			}
		}
		i := slices.IndexFunc(out, func(h history) bool { return slices.Equal(h.gross, gross) })
		if i < 0 {
			i = len(out)
			out = append(out, history{gross: gross})
		}
		out[i].areaM2 += cell.AreaM2
		out[i].cells = append(out[i].cells, c)
	}
	return out
}

// variant is a zone's ground under another assumption.
type variant struct {
	column *soilwater.Column
	table  []float64 // by day of the season
	today  float64   // table today
}

// follow walks a zone's ground under another assumption. It returns the states
// by history, and calls seen, if not nil, with the account of every history and
// day; the account is good only during the call.
func (w *walker) follow(zone int, hist []history, v *variant, seen func(day, history int, out *soilwater.Fluxes, s *soilwater.State)) []soilwater.State {
	f := w.Farm
	g := &f.ground.zones[zone]
	states := make([]soilwater.State, len(hist))
	weights := make([]float64, len(hist))
	first := w.morning(zone, v)
	for i := range states {
		states[i], weights[i] = first, hist[i].areaM2
	}
	efficiency := 0.0
	if g.pivot >= 0 {
		efficiency = f.Pivots[g.pivot].Efficiency
	}
	probes := w.newProber(zone, v.column)
	if !probes.merge {
		probes = nil // readings that change nothing need no looking at
	}
	var out soilwater.Fluxes
	for d := range w.days {
		crop := &w.crops[g.field][d]
		water := soilwater.Water{RainMM: w.rainOn(d, g.field), FwNet: 1, TableM: v.table[d]}
		if probes != nil {
			probes.day(d, states, weights, water.TableM)
		}
		for i := range states {
			water.NetMM = hist[i].gross[d] * efficiency
			v.column.Step(&states[i], &crop.Demand, &water, &out)
			if seen != nil {
				seen(d, i, &out, &states[i])
			}
		}
	}
	if probes != nil {
		probes.day(w.days, states, weights, v.today)
	}
	return states
}

// morning is the state of a variant on the season's first morning.
func (w *walker) morning(zone int, v *variant) soilwater.State {
	table := v.today
	if w.days > 0 {
		table = v.table[0]
	}
	return v.column.Start(w.Farm.Start.Depletion, w.firstDemand(zone), table)
}

// endStates follows every end of a zone, [end][cell from the zone's first].
func (s *Season) endStates(zone int, ends []end) [][]soilwater.State {
	w := s.walk
	g := &s.Farm.ground.zones[zone]
	hist := w.histories(zone)
	out := make([][]soilwater.State, len(ends))
	for i := range ends {
		e := &ends[i]
		v := variant{e.Column, s.Farm.shifted(zone, e.sign, w.table[zone]), 0}
		v.today = s.Farm.shifted(zone, e.sign, []watertable.Estimate{s.Table(zone, s.Today)})[0]
		states := w.follow(zone, hist, &v, nil)
		out[i] = make([]soilwater.State, g.to-g.from)
		for h := range hist {
			for _, c := range hist[h].cells {
				out[i][c-g.from] = states[h]
			}
		}
	}
	return out
}

// zoneEnds are the ends of a zone as the planner takes them.
type zoneEnds struct {
	ends   []runplan.End
	states [][]soilwater.State // [end][cell from the zone's first]
}

// of are a cell's states, by end.
func (z *zoneEnds) of(cell int) []soilwater.State {
	if len(z.states) == 0 {
		return nil
	}
	out := make([]soilwater.State, len(z.states))
	for i := range z.states {
		out[i] = z.states[i][cell]
	}
	return out
}

// endsAhead follows the ends of all zones to today and looks days ahead.
func (s *Season) endsAhead(days int) []zoneEnds {
	out := make([]zoneEnds, len(s.Farm.Zones))
	var wg sync.WaitGroup
	for z := range out {
		wg.Go(func() { out[z] = s.zoneEndsAhead(z, days) })
	}
	wg.Wait()
	return out
}

// zoneEndsAhead is endsAhead for one zone.
func (s *Season) zoneEndsAhead(zone, days int) (out zoneEnds) {
	ends := s.ends(zone)
	ahead := s.tables.days(zone, s.Today, days)
	for i := range ends {
		e := ends[i].End
		e.TableM = s.Farm.shifted(zone, ends[i].sign, ahead)
		out.ends = append(out.ends, e)
	}
	out.states = s.endStates(zone, ends)
	return out
}
