// The walk: from the season's start, day by day, cell by cell, to yesterday.

package fields

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/input"
	"sandwick/fields/settings"
	"sandwick/soilwater"
	"sandwick/soilwater/watertable"
)

// MaxClosureMM is how far a cell's books may be from closing on one day. More
// is a fault of the program, and stops the walk.
const MaxClosureMM = 1e-9

// WalkOptions say how to walk. The zero value walks the farm as it is and
// keeps the zones' accounts only.
type WalkOptions struct {
	KeepCells bool       // keep every cell's account of every day
	StatesOn  civil.Date // keep the cells' water on the morning of this day too, in Season.StatesThen
}

// ErrWalk is why a season cannot be walked, though the files are sound.
type ErrWalk struct{ Msg string }

func (e ErrWalk) Error() string { return e.Msg }

// Walk keeps the season's books from its start through the day before today.
// Nothing of today or later is used but the forecast, for days on which the
// station's record is late.
func (f *Farm) Walk(today civil.Date, o WalkOptions) (*Season, error) {
	if today.Before(f.Start.Date) {
		return nil, ErrWalk{fmt.Sprintf("%s is before the season's start, %s", today, f.Start.Date)}
	}
	s := &Season{Farm: f, From: f.Start.Date, Today: today, days: today.DaysSince(f.Start.Date)}
	skies, ok := f.skies(f.climateStart(), today.AddDays(-1), today, nil)
	lead := s.From.DaysSince(f.climateStart())
	if !ok || len(skies) < lead+s.days {
		return nil, ErrWalk{fmt.Sprintf("%s has no usable temperatures by %s: without one measured day there is nothing to go by", WeatherFile, f.climateStart().AddDays(len(skies)))}
	}
	s.wet = f.wetness(skies, today)
	s.crops = f.cropDays(skies, s.wet, func(field int) []civil.Date { return f.RecordedCuts(field, today) })
	for i := range s.crops {
		s.crops[i] = s.crops[i][lead:]
	}
	s.Skies = skies[lead:]
	s.noteWeather()
	s.doubtFixedKc()

	cal := newCalendar(s.From, s.days, f.Location)
	waterings := make([]watering, len(f.Pivots))
	s.Pumped = make([][]Pumping, len(f.Pivots))
	for p := range f.Pivots {
		waterings[p] = f.water(p, cal, begunBy(f.passes(p), cal.start[s.days]))
		s.Pumped[p] = waterings[p].pumped
	}
	w := &walker{Season: s, waterings: waterings, rain: f.gaugeRain(s.From, s.days, today)}
	s.walk = w
	s.tables = f.tables(today)
	for z := range f.Zones {
		w.table = append(w.table, s.tables.days(z, s.From, s.days))
	}
	if err := w.start(); err != nil {
		return nil, err
	}
	s.accounts = make([]DayAccount, s.days*len(f.Zones))
	if o.KeepCells {
		s.cells = make([]CellAccount, s.days*len(f.ground.cells))
	}
	then := -1
	if o.StatesOn.IsValid() {
		then = o.StatesOn.DaysSince(s.From)
		s.StatesThen = slices.Clone(w.States) // as the season starts, if that is the day
	}
	// No water passes from zone to zone, so they are walked side by side.
	errs := make([]error, len(f.Zones))
	s.probes = make([][]ProbeCheck, len(f.Zones))
	s.CorrectTodayMM = make([]float64, len(f.Zones))
	var wg sync.WaitGroup
	for z := range f.Zones {
		wg.Go(func() {
			p := w.newProber(z, f.Column(z))
			for d := 0; d < s.days && errs[z] == nil; d++ {
				errs[z] = w.zoneDay(d, z, p)
				if d == then-1 {
					copy(s.StatesThen[f.ground.zones[z].from:f.ground.zones[z].to], w.States[f.ground.zones[z].from:f.ground.zones[z].to])
				}
			}
			w.probeToday(z, p)
		})
	}
	wg.Wait()
	if i := slices.IndexFunc(errs, func(err error) bool { return err != nil }); i >= 0 {
		return nil, errs[i]
	}
	return s, nil
}

// climateStart is the first day whose weather the crop curves are drawn from:
// the earliest planting or green-up that the weather record covers, and never
// later than the season's start.
func (f *Farm) climateStart() civil.Date {
	first := f.Start.Date
	for i := range f.Fields {
		if d := f.Fields[i].Start; d.Before(first) {
			first = d
		}
	}
	if have := f.Weather.Days[0].Date; first.Before(have) {
		first = have
	}
	if first.After(f.Start.Date) {
		first = f.Start.Date
	}
	return first
}

// noteWeather finds where the station's record ends and says so when that is
// before yesterday.
func (s *Season) noteWeather() {
	for i := range s.Skies {
		if s.Skies[i].Basis == Measured {
			s.WeatherThrough = s.Date(i)
		} else {
			s.Estimated++
		}
	}
	late := s.days
	by := map[Basis]int{}
	for late > 0 && s.Skies[late-1].Basis != Measured {
		late--
		by[s.Skies[late].Basis]++
	}
	at := input.Pos{File: WeatherFile}
	if n := s.days - late; n > 0 {
		how := ""
		switch {
		case by[Carried] == 0:
			how = fmt.Sprintf("%s stands in for them", ForecastFile)
		case by[Forecast] == 0:
			how = fmt.Sprintf("they carry the mean weather of the last %d measured days, without rain", CarryDays)
		default:
			how = fmt.Sprintf("%s stands in for %d of them, the others carry the mean weather of the last %d measured days, without rain", ForecastFile, by[Forecast], CarryDays)
		}
		s.doubt(at, "", "", "the record ends %d day(s) before %s; %s", n, s.Today, how)
	}
	if inside := s.Estimated - (s.days - late); inside > 0 {
		s.doubt(at, "", "", "%d day(s) within the season have no temperatures; they carry the mean weather of the %d measured days before, or the forecast's", inside, CarryDays)
	}
}

// walker holds what the days share.
type walker struct {
	*Season
	waterings []watering
	rain      []float64               // gauge rain [field*days+day], NaN without a reading
	table     [][]watertable.Estimate // [zone][day]
}

// start fills the ground as the season's start has it.
func (w *walker) start() error {
	f := w.Farm
	w.States = make([]soilwater.State, len(f.ground.cells))
	w.StartMM = make([]float64, len(f.Zones))
	for z := range f.Zones {
		g := &f.ground.zones[z]
		st := g.column.Start(f.Start.Depletion, w.firstDemand(z), w.tables.on(z, w.From).DepthM)
		for _, mm := range st.Layer {
			w.StartMM[z] += mm
		}
		if math.IsNaN(w.StartMM[z]) {
			return ErrWalk{fmt.Sprintf("zone %q has no sound state on %s", f.Zones[z].Name, w.From)}
		}
		for c := g.from; c < g.to; c++ {
			w.States[c] = st
		}
	}
	return nil
}

// firstDemand is what the season's first day asks of a zone.
func (w *walker) firstDemand(zone int) soilwater.Demand {
	g := &w.Farm.ground.zones[zone]
	if w.days > 0 {
		return w.crops[g.field][0].Demand
	}
	c := &w.Farm.Fields[g.field].Crop
	return soilwater.Demand{P: c.P, RootM: c.RootMinM, Single: w.Farm.Start.Single}
}

// rainOn is the rain on a field on a day: its gauge's, or else the station's.
func (w *walker) rainOn(day, field int) float64 {
	if mm := w.rain[field*w.days+day]; !math.IsNaN(mm) {
		return mm
	}
	return w.Skies[day].RainMM
}

// probeToday deals with the readings of the morning of s.Today: they correct
// what the planner starts from, and enter the books with the day that begins.
func (w *walker) probeToday(zone int, p *prober) {
	entered := w.probe(w.days, zone, p, w.tables.on(zone, w.Today).DepthM)
	g := &w.Farm.ground.zones[zone]
	for i, mm := range entered {
		w.CorrectTodayMM[zone] += mm * w.Farm.ground.cells[g.from+i].AreaM2 / g.areaM2
	}
	w.probes[zone] = p.checks
}

// probe deals with the readings of a morning; see prober.day.
func (w *walker) probe(day, zone int, p *prober, tableM float64) []float64 {
	if len(p.readings) == 0 {
		return nil
	}
	f := w.Farm
	g := &f.ground.zones[zone]
	if p.areas == nil {
		for _, c := range f.ground.cells[g.from:g.to] {
			p.areas = append(p.areas, c.AreaM2)
		}
	}
	return p.day(day, w.States[g.from:g.to], p.areas, tableM)
}

// zoneDay moves the cells of one zone over one day and books the zone's account.
func (w *walker) zoneDay(day, zone int, p *prober) error {
	f := w.Farm
	g := &f.ground.zones[zone]
	crop := &w.crops[g.field][day]
	sky := &w.Skies[day]
	table := &w.table[zone][day]
	a := &w.accounts[day*len(f.Zones)+zone]
	*a = DayAccount{
		Date: sky.Date, Zone: zone, Basis: sky.Basis, Filled: sky.Filled,
		Stage: crop.Crop.Stage, RootM: crop.Crop.RootM, TableM: table.DepthM, TableSEM: table.SEM, TableBasis: table.Basis,
		EToMM: sky.EToMM, Kcb: crop.Demand.Kcb,
	}
	water := soilwater.Water{RainMM: w.rainOn(day, g.field), FwNet: 1, TableM: a.TableM}
	if !math.IsNaN(w.rain[g.field*w.days+day]) {
		a.GaugeRain = true
		a.Filled &^= et.FilledRain
	}
	var gross []float64
	efficiency := 0.0
	if g.pivot >= 0 {
		wg := &w.waterings[g.pivot]
		gross = wg.grossMM[day*wg.slices : (day+1)*wg.slices]
		efficiency = f.Pivots[g.pivot].Efficiency
	}
	entered := w.probe(day, zone, p, a.TableM)
	var out soilwater.Fluxes
	for c := g.from; c < g.to; c++ {
		cell := &f.ground.cells[c]
		mm := 0.0
		if gross != nil {
			mm = gross[cell.Slice]
		}
		water.NetMM = mm * efficiency
		g.column.Step(&w.States[c], &crop.Demand, &water, &out)
		if entered != nil {
			out.CorrectMM = entered[c-g.from]
		}
		if !(math.Abs(out.ClosureMM) <= MaxClosureMM) {
			return ErrWalk{fmt.Sprintf("the balance of %s on %s does not close: %g mm are unaccounted for; this is a fault of the program", f.CellName(c), sky.Date, out.ClosureMM)}
		}
		a.add(&out, mm, water.NetMM, cell.AreaM2)
		if len(w.cells) > 0 {
			w.cells[day*len(f.ground.cells)+c] = CellAccount{out, mm}
		}
	}
	a.divide(g.areaM2)
	a.TriggerMM = f.Trigger(g.field, a.TAWMM, a.RAWMM)
	return nil
}

// ksHair keeps rounding from counting as stress: Ks is a quotient of sums over layers.
const ksHair = 1e-9

// add books one cell, weighted by its area.
func (a *DayAccount) add(x *soilwater.Fluxes, gross, net, m2 float64) {
	a.Ke += m2 * x.Ke
	a.Ks += m2 * (1 - x.Ks) // what is missing, so that no stress comes out as exactly 1
	a.ETcMM += m2 * x.ETcMM
	a.ETMM += m2 * x.ETMM
	a.EvapMM += m2 * x.EvaporationMM
	a.TranspMM += m2 * x.TranspirationMM
	a.RainMM += m2 * x.RainMM
	a.RunoffMM += m2 * x.RunoffMM
	a.GrossMM += m2 * gross
	a.NetMM += m2 * net
	a.UpfluxMM += m2 * x.UpfluxMM
	a.PercMM += m2 * x.PercolationMM
	a.CorrectMM += m2 * x.CorrectMM
	a.DepletMM += m2 * x.DepletionMM
	a.DepletMax = max(a.DepletMax, x.DepletionMM)
	a.TAWMM += m2 * x.TAWMM
	a.RAWMM += m2 * x.RAWMM
	a.StorageMM += m2 * x.StorageMM
	if math.Abs(x.ClosureMM) > math.Abs(a.ClosureMM) {
		a.ClosureMM = x.ClosureMM
	}
	if x.Aeration {
		a.AerationM2 += m2
	}
	if x.Ks < 1-ksHair {
		a.StressM2 += m2
	}
}

// divide turns sums over area into means.
func (a *DayAccount) divide(m2 float64) {
	w := 1 / m2
	for _, v := range [...]*float64{
		&a.Ke, &a.Ks, &a.ETcMM, &a.ETMM, &a.EvapMM, &a.TranspMM, &a.RainMM, &a.RunoffMM, &a.GrossMM, &a.NetMM,
		&a.UpfluxMM, &a.PercMM, &a.CorrectMM, &a.DepletMM, &a.TAWMM, &a.RAWMM, &a.StorageMM,
	} {
		*v *= w
	}
	a.Ks = 1 - a.Ks
	a.SprayMM = a.GrossMM - a.NetMM
}

// CellName names a cell for people: its zone and, under a pivot, its azimuths.
func (f *Farm) CellName(cell int) string {
	c := &f.ground.cells[cell]
	name := f.Zones[c.Zone].Name
	if c.Slice == NoSlice {
		return fmt.Sprintf("zone %q", name)
	}
	return fmt.Sprintf("zone %q, %g to %g degrees", name, float64(c.Slice)*f.SliceDeg, float64(c.Slice+1)*f.SliceDeg)
}

// DayOf is the calendar day of an instant on the farm's clocks, for choosing today.
func (f *Farm) DayOf(t time.Time) civil.Date { return civil.DateOf(t.In(f.Location)) }

// StartOfDay is the first instant of a day on the farm's clocks.
func (f *Farm) StartOfDay(d civil.Date) time.Time { return settings.StartOfDay(d, f.Location) }
