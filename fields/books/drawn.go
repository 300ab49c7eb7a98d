// Withdrawal by well and day.
//
// Where a meter was read the water between two readings is the meter's, divided
// among the parts of days as hours × flow of the recorded passes are; elsewhere
// it is hours × flow. What a meter saw while no pass was recorded is spread
// evenly over its days.

package books

import (
	"math"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/fields"
	"sandwick/fields/records"
)

// Drawn is water withdrawn and what its pumping took. All of it adds up.
type Drawn struct {
	M3      float64 // withdrawn: by the meter where there is one, else hours × flow
	MeterM3 float64 // of M3: by the meter
	PassM3  float64 // hours × flow of the recorded passes, metered or not
	CheckM3 float64 // of PassM3: while the meter was in use; to hold MeterM3 against

	PumpHours  float64
	DryHours   float64 // walking without water
	TimerHours float64 // of both: of passes whose end follows from the timer
	Starts     float64
	EnergyKWh  float64 // hours × power
	EnergyCost float64
	FuelCost   float64
	LabourCost float64
	NitrateKg  float64 // nitrogen in the water, by the well's test
	UntestedM3 float64 // of M3: from wells whose water was not tested
}

// Cost is energy, fuel and labour together.
func (d *Drawn) Cost() float64 { return d.EnergyCost + d.FuelCost + d.LabourCost }

// EstimatedM3 is the part of the withdrawal that no meter vouches for.
func (d *Drawn) EstimatedM3() float64 { return d.M3 - d.MeterM3 }

// Add adds v to d.
func (d *Drawn) Add(v *Drawn) { d.add(v, 1) }

func (d *Drawn) add(v *Drawn, share float64) {
	d.M3 += share * v.M3
	d.MeterM3 += share * v.MeterM3
	d.PassM3 += share * v.PassM3
	d.CheckM3 += share * v.CheckM3
	d.PumpHours += share * v.PumpHours
	d.DryHours += share * v.DryHours
	d.TimerHours += share * v.TimerHours
	d.Starts += share * v.Starts
	d.EnergyKWh += share * v.EnergyKWh
	d.EnergyCost += share * v.EnergyCost
	d.FuelCost += share * v.FuelCost
	d.LabourCost += share * v.LabourCost
	d.NitrateKg += share * v.NitrateKg
	d.UntestedM3 += share * v.UntestedM3
}

// Apart is how far the meter is off hours × flow while it was in use, as a share
// of the latter; NaN where there is nothing to compare.
func (d *Drawn) Apart() float64 {
	if d.MeterM3 == 0 && d.CheckM3 == 0 {
		return math.NaN()
	}
	return apart(d.MeterM3, d.CheckM3)
}

// Basis is what a withdrawal rests on.
type Basis uint8

// The bases.
const (
	NoWater  Basis = iota // none was drawn
	ByMeter               // meter readings
	ByPasses              // hours × flow of the recorded passes
	ByBoth                // meter readings on some days, hours × flow on others
)

// String names the basis for outputs.
func (b Basis) String() string {
	return [...]string{"none", "meter", "hours x flow", "meter and hours x flow"}[b]
}

// hairM3 is what rounding may leave of a volume.
const hairM3 = 1e-6

// Basis tells what the withdrawal rests on.
func (d *Drawn) Basis() Basis {
	meter, passes := d.MeterM3 > hairM3, d.EstimatedM3() > hairM3
	switch {
	case meter && passes:
		return ByBoth
	case meter:
		return ByMeter
	case passes:
		return ByPasses
	}
	return NoWater
}

// Peak is the greatest withdrawal of a stretch of days. The zero Peak is none.
type Peak struct {
	From, To    civil.Date
	M3          float64
	EstimatedM3 float64 // of M3: no meter vouches for it
}

// peak finds the stretch of so many days, or of all if there are fewer, with the
// greatest withdrawal; the first of several.
func peak(first civil.Date, days []Drawn, n int) Peak {
	n = min(n, len(days))
	var best Peak
	sum, estimated := 0.0, 0.0
	for i := range days {
		sum += days[i].M3
		estimated += days[i].EstimatedM3()
		if i >= n {
			sum -= days[i-n].M3
			estimated -= days[i-n].EstimatedM3()
		}
		if i >= n-1 && sum > best.M3+hairM3 {
			best = Peak{first.AddDays(i - n + 1), first.AddDays(i), sum, estimated}
		}
	}
	return best
}

// ledger is the withdrawal of every well in every part of a day.
type ledger struct {
	farm      *fields.Farm
	first     civil.Date // of the season
	days      int
	lead      int // days before first that the passes are booked for
	tail      int // and after the last
	passes    *fields.Ledger
	intervals [][]Interval // [well], those that touch the season
	readings  []int        // [well]
	tolerance []float64    // [well]
	parts     [][]part     // [well], of the season's days
}

// part is one well in one part of a day.
type part struct {
	m3, passM3 float64
	metered    bool
}

// mostLead is how far outside the season the nearest reading of a meter may lie,
// days: a winter and more.
const mostLead = 400

// newLedger books so many days from first on, by the readings taken until the
// day known.
func newLedger(f *fields.Farm, first civil.Date, days int, known civil.Date, tolerance float64) *ledger {
	l := &ledger{farm: f, first: first, days: days, tail: 1}
	all := make([][]Interval, len(f.Wells))
	next := first.AddDays(days)
	for w := range f.Wells {
		readings := readingsOf(f, w, known)
		all[w] = Intervals(readings, f.Wells[w].Meter)
		n := 0
		for i := range readings {
			if r := &readings[i]; !r.Date.Before(first) && !r.Date.After(next) && !math.IsNaN(r.Reading) {
				n++
			}
		}
		l.readings = append(l.readings, n)
		all[w] = slices.DeleteFunc(all[w], func(v Interval) bool {
			return v.To.Before(first) || !v.From.Before(next) || first.DaysSince(v.From) > mostLead || v.To.DaysSince(next) > mostLead
		})
		for i := range all[w] {
			l.lead = max(l.lead, first.DaysSince(all[w][i].From))
			l.tail = max(l.tail, all[w][i].To.DaysSince(next)+1)
		}
		t := tolerance
		if t == 0 {
			t = f.Wells[w].Meter.Tolerance
		}
		l.tolerance = append(l.tolerance, t)
	}
	l.passes = f.Ledger(first.AddDays(-l.lead), l.lead+days+l.tail)
	for w := range f.Wells {
		l.well(w, all[w])
	}
	l.intervals = all
	return l
}

// readingsOf are a well's readings that are known by the morning of a day.
func readingsOf(f *fields.Farm, well int, by civil.Date) []records.Meter {
	var out []records.Meter
	for i := range f.Records.Meters {
		if r := &f.Records.Meters[i]; r.Well == f.Wells[well].Name && !r.Date.After(by) {
			out = append(out, *r)
		}
	}
	return out
}

// well books one well's parts and fills in what its intervals do not know yet.
func (l *ledger) well(w int, intervals []Interval) {
	n := 2 * (l.lead + l.days + l.tail)
	parts := make([]part, n)
	for p := range l.farm.Pivots {
		if l.farm.WellOf(p) != w {
			continue
		}
		for i := range parts {
			parts[i].passM3 += l.passes.At(p, i/2, i%2).VolumeM3
		}
	}
	for i := range parts {
		parts[i].m3 = parts[i].passM3
	}
	for k := range intervals {
		v := &intervals[k]
		from, to := l.morning(v.From), l.morning(v.To) // from morning to morning
		v.PassM3 = 0
		for _, x := range parts[from:to] {
			v.PassM3 += x.passM3
		}
		v.hold(l.farm.Wells[w].FlowM3H, l.tolerance[w])
		if !v.Used() {
			continue
		}
		for i := from; i < to; i++ {
			x := &parts[i]
			x.metered = true
			if v.PassM3 > 0 {
				x.m3 = v.MeterM3 * (x.passM3 / v.PassM3)
			} else {
				x.m3 = v.MeterM3 / float64(to-from)
			}
		}
	}
	l.parts = append(l.parts, parts[2*l.lead:2*(l.lead+l.days)])
}

// morning is the part of a day that begins at its morning, counted from the
// first day booked.
func (l *ledger) morning(d civil.Date) int { return 2*(d.DaysSince(l.first)+l.lead) + 1 }

// pivotDay is what a pivot drew on a day of the season.
func (l *ledger) pivotDay(p, day int) Drawn {
	well := l.farm.WellOf(p)
	var d Drawn
	for half := range 2 {
		u := l.passes.At(p, l.lead+day, half)
		x := &l.parts[well][2*day+half]
		y := Drawn{
			PassM3: u.VolumeM3, PumpHours: u.Hours, DryHours: u.DryHours, TimerHours: u.TimerHours, Starts: u.Starts,
			EnergyKWh: u.EnergyKWh, EnergyCost: u.EnergyCost, FuelCost: u.FuelCost, LabourCost: u.LabourCost,
		}
		if x.passM3 > 0 {
			y.M3 = u.VolumeM3 * (x.m3 / x.passM3)
		}
		if x.metered {
			y.MeterM3, y.CheckM3 = y.M3, y.PassM3
		}
		d.Add(&y)
	}
	l.nitrate(&d, well)
	return d
}

// looseDay is what a well's meter saw on a day without a recorded pass.
func (l *ledger) looseDay(w, day int) Drawn {
	var d Drawn
	for half := range 2 {
		if x := &l.parts[w][2*day+half]; x.passM3 == 0 {
			d.M3 += x.m3
			d.MeterM3 += x.m3
		}
	}
	l.nitrate(&d, w)
	return d
}

// wells books the wells of the season.
func (b *Books) wells(l *ledger) {
	f := l.farm
	monthOf := b.monthOf()
	all := make([]Drawn, l.days)
	b.Wells = make([]Well, len(f.Wells))
	for i := range f.Wells {
		b.Wells[i] = Well{
			Name: f.Wells[i].Name, LimitM3: f.Wells[i].SeasonLimitM3, NitratePPM: f.Wells[i].NitratePPM,
			Months: make([]Drawn, len(b.Months)), Loose: make([]Drawn, len(b.Months)), Bare: make([]Drawn, len(b.Months)),
			Days:     make([]Drawn, l.days),
			Readings: l.readings[i], Intervals: l.intervals[i], Tolerance: l.tolerance[i],
		}
		for day := range l.days {
			loose := l.looseDay(i, day)
			b.Wells[i].Loose[monthOf[day]].Add(&loose)
			b.Wells[i].Days[day].Add(&loose)
		}
	}
	for p := range f.Pivots {
		w := &b.Wells[f.WellOf(p)]
		for day := range l.days {
			d := l.pivotDay(p, day)
			w.Days[day].Add(&d)
		}
	}
	for i := range b.Wells {
		w := &b.Wells[i]
		for day := range w.Days {
			w.Months[monthOf[day]].Add(&w.Days[day])
			all[day].Add(&w.Days[day])
		}
		for m := range w.Months {
			w.Season.Add(&w.Months[m])
		}
		w.PeakDay, w.Peak30 = peak(b.From, w.Days, 1), peak(b.From, w.Days, 30)
	}
	b.PeakDay, b.Peak30 = peak(b.From, all, 1), peak(b.From, all, 30)
	b.flows(l)
}

// flows estimates the real flow of the machines, well by well.
func (b *Books) flows(l *ledger) {
	f := l.farm
	for w := range f.Wells {
		var pivots []int
		for p := range f.Pivots {
			if f.WellOf(p) == w {
				pivots = append(pivots, p)
			}
		}
		b.Machines = append(b.Machines, l.flowsOf(w, pivots)...)
	}
}

func (l *ledger) flowsOf(w int, pivots []int) []Flow {
	var y []float64
	var hours [][]float64
	flows := make([]Flow, len(pivots))
	volume := make([]float64, len(pivots))
	for k := range l.intervals[w] {
		v := &l.intervals[w][k]
		if !v.Used() || v.PassM3 <= 0 {
			continue
		}
		row := make([]float64, len(pivots))
		from, to := l.morning(v.From), l.morning(v.To)
		for j, p := range pivots {
			for i := from; i < to; i++ {
				u := l.passes.At(p, i/2, i%2)
				row[j] += u.Hours
				volume[j] += u.VolumeM3
			}
			flows[j].Hours += row[j]
		}
		y, hours = append(y, v.MeterM3), append(hours, row)
	}
	// Machines that did not run say nothing.
	var ran []int
	for j := range pivots {
		if flows[j].Hours > 0 {
			ran = append(ran, j)
		}
	}
	x := make([][]float64, len(y))
	for i := range x {
		for _, j := range ran {
			x[i] = append(x[i], hours[i][j])
		}
	}
	if len(ran) == 0 {
		return nil
	}
	q, se, ok := Regress(x, y)
	if !ok {
		return nil
	}
	var out []Flow
	for k, j := range ran {
		fl := flows[j]
		fl.Pivot, fl.Well = l.farm.Pivots[pivots[j]].Name, l.farm.Wells[w].Name
		fl.M3PerH, fl.ErrorM3H, fl.Intervals = q[k], se[k], len(y)
		fl.StatedM3H = volume[j] / fl.Hours
		out = append(out, fl)
	}
	return out
}
