// The season's books as they are written: one struct for the table, JSON, CSV,
// the workbook and the page.

package report

import (
	"fmt"
	"math"
	"slices"

	"sandwick/fields/books"

	"github.com/golang-sql/civil"
)

// Season is what `sandwick season` answers. Its JSON names are promised.
type Season struct {
	Farm      string          `json:"farm"`
	Currency  string          `json:"currency"`
	From      Day             `json:"from"`
	To        Day             `json:"to"`   // last day in the books
	Ends      Day             `json:"ends"` // last day of the season
	Wells     []SeasonWell    `json:"wells"`
	Fields    []SeasonField   `json:"fields"`
	Total     SeasonTotal     `json:"total"`
	Machines  []MachineFlow   `json:"machines"`
	Cuts      []SeasonCut     `json:"cuts"`
	Seasons   []SeasonSummary `json:"seasons"` // this one first, then earlier ones
	Estimated []Estimated     `json:"estimated"`
	Methods   []Note          `json:"methods"` // how things were reckoned, with their sources
	Warnings  []Note          `json:"warnings"`
	Notice    []string        `json:"notice"` // what this report is not, and what to check

	Daily     []DailyWell  `json:"-"` // for the workbook and the page
	DailyLand []DailyField `json:"-"`

	placed []placedNote // of the warnings, those about one well or field
	notes  []Note       // and the others
	partly bool         // only a part of the farm is kept
}

// placedNote is a note about a field, or else a well.
type placedNote struct {
	well, field string
	note        Note
}

// SeasonWater is water withdrawn, and what pumping it took.
type SeasonWater struct {
	M3          Number `json:"withdrawn_m3" csv:"withdrawn_m3"`
	Basis       string `json:"basis" csv:"basis"` // "meter", "hours x flow", "meter and hours x flow", "none"
	MeterM3     Number `json:"metered_m3" csv:"metered_m3"`
	EstimatedM3 Number `json:"estimated_m3" csv:"estimated_m3"`       // of the withdrawal: no meter vouches for it
	PassM3      Number `json:"hours_x_flow_m3" csv:"hours_x_flow_m3"` // of the recorded passes
	ApartPct    Number `json:"meter_off_pct" csv:"meter_off_pct"`     // meter against hours × flow, while it was in use
	Drift       bool   `json:"drift" csv:"drift"`                     // by more than the tolerance
	PumpHours   Number `json:"pump_hours" csv:"pump_hours"`
	DryHours    Number `json:"dry_hours" csv:"dry_hours"`
	TimerHours  Number `json:"estimated_hours" csv:"estimated_hours"` // of passes whose end follows from the timer
	EnergyKWh   Number `json:"energy_kwh" csv:"energy_kwh"`
	EnergyCost  Number `json:"energy_cost" csv:"energy_cost"`
	FuelCost    Number `json:"fuel_cost" csv:"fuel_cost"`
	LabourCost  Number `json:"labour_cost" csv:"labour_cost"`
	Cost        Number `json:"cost" csv:"cost"`
	NitrateKg   Number `json:"nitrogen_brought_kg" csv:"nitrogen_brought_kg"`
	Estimated   Names  `json:"estimated" csv:"estimated"` // the figures, by their names here, that rest in whole or in part on an estimate; with those of the ground where there is one
}

// SeasonGround is where the water went on some ground; depths are means over it.
type SeasonGround struct {
	AreaM2        Number `json:"area_m2" csv:"area_m2"`
	WithdrawnMM   Number `json:"withdrawn_mm" csv:"withdrawn_mm"`               // what was withdrawn for it: by the meter where there is one
	GrossMM       Number `json:"irrigation_gross_mm" csv:"irrigation_gross_mm"` // by hours × flow, as the soil's books go
	NetMM         Number `json:"irrigation_net_mm" csv:"irrigation_net_mm"`
	SprayMM       Number `json:"spray_loss_mm" csv:"spray_loss_mm"`
	RainMM        Number `json:"rain_mm" csv:"rain_mm"`
	EffectiveMM   Number `json:"effective_rain_mm" csv:"effective_rain_mm"`
	ETMM          Number `json:"et_mm" csv:"et_mm"`
	ETcMM         Number `json:"etc_mm" csv:"etc_mm"`
	UpfluxMM      Number `json:"upflux_mm" csv:"upflux_mm"`
	PercolationMM Number `json:"percolation_mm" csv:"percolation_mm"`
	BelowMM       Number `json:"net_from_below_mm" csv:"net_from_below_mm"` // upflux less percolation of ground over a table in reach, over all the area
	RunoffMM      Number `json:"runoff_mm" csv:"runoff_mm"`
	CorrectionMM  Number `json:"correction_mm" csv:"correction_mm"`
	StorageMM     Number `json:"storage_change_mm" csv:"storage_change_mm"`
	ClosureMM     Number `json:"closure_mm" csv:"closure_mm"`
	StressDays    Number `json:"stress_days" csv:"stress_days"`         // mean over the area
	FilledETMM    Number `json:"estimated_et_mm" csv:"estimated_et_mm"` // of et_mm: on days whose weather was estimated in part or whole
	CarriedETMM   Number `json:"unmeasured_et_mm" csv:"unmeasured_et_mm"`
	StationRainMM Number `json:"station_rain_mm" csv:"station_rain_mm"` // of rain_mm: by the station, no gauge
	GuessedRainMM Number `json:"unmeasured_rain_mm" csv:"unmeasured_rain_mm"`
	NoRainDays    Number `json:"rain_missing_days" csv:"rain_missing_days"` // taken as none
	LostKg        Number `json:"nitrogen_lost_kg" csv:"nitrogen_lost_kg"`   // an estimate
	ToursM2       Number `json:"tours_m2" csv:"tours_m2"`
	SkippedM2     Number `json:"skipped_m2" csv:"skipped_m2"` // of tours_m2: left alone
	SavedM3       Number `json:"saved_m3" csv:"saved_m3"`
	SavedKWh      Number `json:"saved_kwh" csv:"saved_kwh"`
	SavedCost     Number `json:"saved_cost" csv:"saved_cost"`
}

// SeasonWell is one well's season.
type SeasonWell struct {
	Well       string          `json:"well"`
	Months     []WellMonth     `json:"months"`
	Season     SeasonWater     `json:"season"`
	Starts     Number          `json:"starts"`
	LooseM3    Number          `json:"without_pass_m3"` // metered while no pass was recorded
	BareM3     Number          `json:"outside_zones_m3"`
	PeakDay    Peak            `json:"highest_day"`
	Peak30     Peak            `json:"highest_30_days"`
	LimitM3    Number          `json:"season_limit_m3"`
	UsedPct    Number          `json:"used_pct"`
	Projection Projection      `json:"projection"`
	NitratePPM Number          `json:"nitrate_ppm"`
	Tolerance  Number          `json:"tolerance_pct"`
	Readings   int             `json:"meter_readings"`
	Intervals  []MeterInterval `json:"meter_intervals"`
}

// WellMonth is one month of a well.
type WellMonth struct {
	Month string `json:"month"`
	Days  int    `json:"days"`
	SeasonWater
	LooseM3 Number `json:"without_pass_m3"`
	BareM3  Number `json:"outside_zones_m3"`
}

// MeterInterval is the time between two meter readings.
type MeterInterval struct {
	From       Day    `json:"from"`
	To         Day    `json:"to"`
	MeterM3    Number `json:"metered_m3"`
	PassM3     Number `json:"hours_x_flow_m3"`
	ApartPct   Number `json:"meter_off_pct"`
	Used       bool   `json:"used"`
	Drift      bool   `json:"drift"`
	Fault      string `json:"fault"` // why it was not used
	RolledOver bool   `json:"rolled_over"`
}

// Peak is the greatest withdrawal of a stretch of days.
type Peak struct {
	From        Day    `json:"from"`
	To          Day    `json:"to"`
	M3          Number `json:"withdrawn_m3"`
	EstimatedM3 Number `json:"estimated_m3"` // of it: no meter vouches for it
}

// Projection is the withdrawal of the whole season.
type Projection struct {
	Estimated bool   `json:"estimated"` // days are left that nobody has seen
	Method    string `json:"method"`
	Years     int    `json:"years"`
	LeastM3   Number `json:"least_m3"`
	MeanM3    Number `json:"mean_m3"`
	MostM3    Number `json:"most_m3"`
}

// SeasonField is one field's season.
type SeasonField struct {
	Field  string       `json:"field"`
	Crop   string       `json:"crop"`
	Pivot  string       `json:"pivot"`
	Well   string       `json:"well"`
	Months []FieldMonth `json:"months"`
	Season Land         `json:"season"`
	Tours  int          `json:"tours"`
	Zones  []SeasonZone `json:"zones"`
}

// Land is water and ground of a field, or a part of it, or all.
type Land struct {
	SeasonWater
	SeasonGround
}

// FieldMonth is one month of a field.
type FieldMonth struct {
	Month string `json:"month"`
	Days  int    `json:"days"`
	Land
}

// SeasonZone is one zone's season.
type SeasonZone struct {
	Zone     string `json:"zone"`
	TableFed bool   `json:"over_water_table"`
	Land
}

// SeasonTotal is the farm. Its water is that of the wells.
type SeasonTotal struct {
	Months []FieldMonth `json:"months"`
	Land
	LooseM3 Number `json:"without_pass_m3"`
	BareM3  Number `json:"outside_zones_m3"`
	PeakDay Peak   `json:"highest_day"`
	Peak30  Peak   `json:"highest_30_days"`
	WorstMM Number `json:"worst_closure_mm"` // of any cell on any day

	water Names // of estimated, those of the water
}

// MachineFlow is the real flow of a machine, by the meter.
type MachineFlow struct {
	Pivot     string `json:"pivot"`
	Well      string `json:"well"`
	FlowM3H   Number `json:"flow_m3h"`
	ErrorM3H  Number `json:"standard_error_m3h"`
	StatedM3H Number `json:"stated_flow_m3h"` // as farm.toml has it, the end gun's where it ran, over the same hours
	Hours     Number `json:"pump_hours"`
	Intervals int    `json:"intervals"`
}

// SeasonCut is one cut and what went into it.
type SeasonCut struct {
	Field      string `json:"field"`
	Date       Day    `json:"date"`
	From       Day    `json:"from"` // growth and water since
	AreaM2     Number `json:"area_m2"`
	HayKg      Number `json:"hay_kg"`
	OilKg      Number `json:"oil_kg"`
	Barrels    Number `json:"oil_barrels"`
	OilKgPerM2 Number `json:"oil_kg_per_m2"`
	WaterM3    Number `json:"withdrawn_m3"`
	EnergyKWh  Number `json:"energy_kwh"`
	OilKgPerM3 Number `json:"oil_kg_per_m3"`
	OilPerKWh  Number `json:"oil_kg_per_kwh"`
	Estimated  Names  `json:"estimated"`
}

// SeasonSummary is one season beside others.
type SeasonSummary struct {
	From         Day         `json:"from"`
	To           Day         `json:"to"`
	Through      Day         `json:"through"` // the same day of the season as these books end on
	ToDate       SeasonWater `json:"to_date"` // through that day
	Whole        SeasonWater `json:"whole"`
	PeakDay      Peak        `json:"highest_day"`
	Peak30       Peak        `json:"highest_30_days"`
	StationRain  Number      `json:"station_rain_mm"` // through that day; none if days are missing
	EToMM        Number      `json:"eto_mm"`
	MissingDays  int         `json:"weather_missing_days"`
	Cuts         int         `json:"cuts"`
	OilKg        Number      `json:"oil_kg"`
	HayKg        Number      `json:"hay_kg"`
	WithdrawnAll []Number    `json:"wells_m3"` // in the order of wells
}

// Estimated is one figure of the report that was not measured, and how much of it.
type Estimated struct {
	What     string `json:"what"`
	Where    string `json:"where"`
	SharePct Number `json:"share_pct"` // of the season's total
	Why      Note   `json:"why"`

	well bool // Where is a well, else a field
}

// DailyWell is a well on a day.
type DailyWell struct {
	Date Day
	Well string
	SeasonWater
}

// DailyField is a field on a day.
type DailyField struct {
	Date  Day
	Field string
	Land
}

// NewSeason puts books into the form in which they are written. extra are notes
// on the files.
func NewSeason(b *books.Books, extra []Note) *Season {
	f := b.Season.Farm
	s := &Season{
		notes: extra,
		Farm:  f.Name, Currency: f.Currency, From: Day(b.From), To: Day(b.To), Ends: Day(f.LastDay()),
		Wells: []SeasonWell{}, Fields: []SeasonField{}, Machines: []MachineFlow{}, Cuts: []SeasonCut{},
		Notice: notice[:],
	}
	if currency := s.Currency; currency == "" {
		s.Currency = "USD"
	}
	for i := range b.Wells {
		s.Wells = append(s.Wells, newWell(b, &b.Wells[i]))
	}
	area := 0.0
	for i := range b.Fields {
		area += b.Fields[i].AreaM2
		s.Fields = append(s.Fields, newField(b, &b.Fields[i]))
	}
	tolerance := s.tolerance()
	s.Total = SeasonTotal{
		Land:    newLand(b, &b.Total, area, tolerance, b.Season.Days()),
		LooseM3: noHair(b.Loose.M3), BareM3: noHair(b.Bare.M3),
		PeakDay: newPeak(b.PeakDay), Peak30: newPeak(b.Peak30), WorstMM: Number(b.ClosureMM),
		water: estimatedWater(&b.Total.Drawn),
	}
	for m := range b.Months {
		var e books.Entry
		for i := range b.Wells {
			e.Drawn.Add(&b.Wells[i].Months[m])
		}
		for i := range b.Fields {
			e.Ground.Add(&b.Fields[i].Months[m].Ground)
			e.Skip.Add(&b.Fields[i].Months[m].Skip)
		}
		s.Total.Months = append(s.Total.Months, FieldMonth{monthName(b.Months[m].First), b.Months[m].Days, newLand(b, &e, area, tolerance, b.Months[m].Days)})
	}
	for _, m := range b.Machines {
		s.Machines = append(s.Machines, MachineFlow{m.Pivot, m.Well, Number(m.M3PerH), Number(m.ErrorM3H), Number(m.StatedM3H), Number(m.Hours), m.Intervals})
	}
	for i := range b.Cuts {
		s.Cuts = append(s.Cuts, newCut(b, &b.Cuts[i]))
	}
	s.Seasons = append(s.Seasons, newSummary(&b.This, tolerance))
	for i := range b.Earlier {
		s.Seasons = append(s.Seasons, newSummary(&b.Earlier[i], tolerance))
	}
	s.Estimated = s.estimates(b)
	s.Methods = methods(b)
	s.placed = slices.Concat(meterNotes(b), flowNotes(b), grossNotes(b))
	s.notes = append(bareNotes(b), s.notes...)
	s.warn()
	s.daily(b)
	return s
}

// warn puts the warnings together.
func (s *Season) warn() {
	s.Warnings = make([]Note, 0, len(s.placed)+len(s.notes))
	for i := range s.placed {
		s.Warnings = append(s.Warnings, s.placed[i].note)
	}
	s.Warnings = append(s.Warnings, s.notes...)
}

// tolerance of the farm: the widest of its wells'.
func (s *Season) tolerance() float64 {
	t := 0.0
	for i := range s.Wells {
		t = max(t, float64(s.Wells[i].Tolerance)/100)
	}
	return t
}

// monthName is "2025-07".
func monthName(d civil.Date) string { return fmt.Sprintf("%04d-%02d", d.Year, int(d.Month)) }

func newWater(d *books.Drawn, tolerance float64) SeasonWater {
	return SeasonWater{
		M3: Number(d.M3), Basis: d.Basis().String(), MeterM3: Number(d.MeterM3), EstimatedM3: Number(d.EstimatedM3()),
		PassM3: Number(d.PassM3), ApartPct: Number(100 * d.Apart()), Drift: math.Abs(d.Apart()) > tolerance,
		PumpHours: Number(d.PumpHours), DryHours: Number(d.DryHours), TimerHours: Number(d.TimerHours),
		EnergyKWh: Number(d.EnergyKWh), EnergyCost: Number(d.EnergyCost), FuelCost: Number(d.FuelCost),
		LabourCost: Number(d.LabourCost), Cost: Number(d.Cost()), NitrateKg: Number(tested(d)),
		Estimated: estimatedWater(d),
	}
}

// tested is the nitrogen in the water; not known where no water was tested.
func tested(d *books.Drawn) float64 {
	if d.UntestedM3 > 0 && d.NitrateKg == 0 {
		return math.NaN()
	}
	return d.NitrateKg
}

// newLand makes depths over an area in m².
func newLand(b *books.Books, e *books.Entry, area, tolerance float64, days int) Land {
	mm := func(m3 float64) Number { return noHair(1000 * m3 / area) }
	g := &e.Ground
	w := newWater(&e.Drawn, tolerance)
	w.Estimated = append(w.Estimated, estimatedGround(b, e)...)
	return Land{w, SeasonGround{
		AreaM2: Number(area), WithdrawnMM: mm(e.M3), GrossMM: mm(g.GrossM3), NetMM: mm(g.NetM3), SprayMM: mm(g.SprayM3), RainMM: mm(g.RainM3),
		EffectiveMM: mm(g.EffectiveM3), ETMM: mm(g.ETM3), ETcMM: mm(g.ETcM3), UpfluxMM: mm(g.UpfluxM3),
		PercolationMM: mm(g.PercM3), BelowMM: mm(g.BelowM3), RunoffMM: mm(g.RunoffM3), CorrectionMM: mm(g.CorrectM3),
		StorageMM: mm(g.StorageM3), ClosureMM: Number(1000 * g.ClosureM3() / area), StressDays: Number(g.StressM2Days / area),
		FilledETMM: mm(g.FilledETM3), CarriedETMM: mm(g.CarriedETM3), StationRainMM: mm(g.StationM3),
		GuessedRainMM: mm(g.CarriedM3), NoRainDays: Number(g.NoRainM2Days / area), LostKg: Number(b.LostKg(g)),
		ToursM2: Number(e.ToursM2), SkippedM2: noHair(e.SkippedM2), SavedM3: noHair(e.SavedM3),
		SavedKWh: noHair(e.SavedKWh), SavedCost: noHair(e.SavedCost),
	}}
}

// hair is what rounding may leave of a sum that is nothing, in m³, mm or money.
const hair = 1e-9

// noHair is a sum without what rounding leaves of nothing.
func noHair(v float64) Number {
	if math.Abs(v) < hair {
		return 0
	}
	return Number(v)
}

func newPeak(p books.Peak) Peak {
	return Peak{Day(p.From), Day(p.To), Number(p.M3), noHair(p.EstimatedM3)}
}

func newWell(b *books.Books, w *books.Well) SeasonWell {
	out := SeasonWell{
		Well: w.Name, Months: []WellMonth{}, Season: newWater(&w.Season, w.Tolerance), Starts: Number(w.Season.Starts),
		PeakDay: newPeak(w.PeakDay), Peak30: newPeak(w.Peak30),
		LimitM3: Number(w.LimitM3), UsedPct: Number(100 * w.Season.M3 / w.LimitM3),
		Projection: Projection{w.Projection.Years > 0, w.Projection.Method.String(), w.Projection.Years, Number(math.NaN()), Number(math.NaN()), Number(math.NaN())},
		NitratePPM: Number(w.NitratePPM), Tolerance: Number(100 * w.Tolerance), Readings: w.Readings, Intervals: []MeterInterval{},
	}
	if math.IsInf(w.LimitM3, 1) {
		out.UsedPct = Number(math.NaN())
	}
	if p := &w.Projection; p.Method != books.NotProjected {
		out.Projection.LeastM3, out.Projection.MeanM3, out.Projection.MostM3 = Number(p.Least), Number(p.Mean), Number(p.Most)
	}
	for m := range w.Months {
		out.Months = append(out.Months, WellMonth{monthName(b.Months[m].First), b.Months[m].Days, newWater(&w.Months[m], w.Tolerance), noHair(w.Loose[m].M3), noHair(w.Bare[m].M3)})
		out.LooseM3 += Number(w.Loose[m].M3)
		out.BareM3 += Number(w.Bare[m].M3)
	}
	out.LooseM3, out.BareM3 = noHair(float64(out.LooseM3)), noHair(float64(out.BareM3))
	for i := range w.Intervals {
		v := &w.Intervals[i]
		out.Intervals = append(out.Intervals, MeterInterval{
			Day(v.From), Day(v.To), Number(v.MeterM3), Number(v.PassM3), Number(100 * v.Apart()),
			v.Used(), v.Drift, v.Fault.String(), v.RolledOver,
		})
	}
	return out
}

func newField(b *books.Books, f *books.Field) SeasonField {
	tolerance := 0.0
	for i := range b.Wells {
		if b.Wells[i].Name == f.Well {
			tolerance = b.Wells[i].Tolerance
		}
	}
	out := SeasonField{
		Field: f.Name, Crop: f.Crop, Pivot: f.Pivot, Well: f.Well, Months: []FieldMonth{}, Zones: []SeasonZone{},
		Season: newLand(b, &f.Season, f.AreaM2, tolerance, b.Season.Days()), Tours: f.Rounds,
	}
	for m := range f.Months {
		out.Months = append(out.Months, FieldMonth{monthName(b.Months[m].First), b.Months[m].Days, newLand(b, &f.Months[m], f.AreaM2, tolerance, b.Months[m].Days)})
	}
	for i := range f.Zones {
		z := &f.Zones[i]
		out.Zones = append(out.Zones, SeasonZone{z.Name, z.TableFed, newLand(b, &z.Season, z.AreaM2, tolerance, b.Season.Days())})
	}
	return out
}

func newCut(b *books.Books, c *books.Cut) SeasonCut {
	return SeasonCut{
		Field: b.Fields[c.Field].Name, Date: Day(c.Date), From: Day(c.From), AreaM2: Number(c.AreaM2),
		HayKg: Number(c.HayKg), OilKg: Number(c.OilKg), Barrels: Number(c.OilKg / books.BarrelKg), OilKgPerM2: Number(c.OilKg / c.AreaM2),
		WaterM3: Number(c.Took.M3), EnergyKWh: Number(c.Took.EnergyKWh),
		OilKgPerM3: Number(c.OilKgPerM3()), OilPerKWh: Number(c.OilKgPerKWh()), Estimated: estimatedCut(c),
	}
}

func newSummary(p *books.Past, tolerance float64) SeasonSummary {
	s := SeasonSummary{
		From: Day(p.From), To: Day(p.To), Through: Day(p.Through),
		ToDate: newWater(&p.ToDate, tolerance), Whole: newWater(&p.Whole, tolerance),
		PeakDay: newPeak(p.PeakDay), Peak30: newPeak(p.Peak30),
		StationRain: Number(p.Station.RainMM), EToMM: Number(p.Station.EToMM),
		MissingDays: max(p.Station.RainMissing, p.Station.ETMissing),
		Cuts:        p.Cuts, OilKg: Number(p.OilKg), HayKg: Number(p.HayKg),
	}
	if p.Station.RainMissing > 0 {
		s.StationRain = Number(math.NaN())
	}
	if p.Station.ETMissing > 0 {
		s.EToMM = Number(math.NaN())
	}
	for i := range p.Wells {
		s.WithdrawnAll = append(s.WithdrawnAll, Number(p.Wells[i].M3))
	}
	return s
}

// daily lists wells and fields by day.
func (s *Season) daily(b *books.Books) {
	for i := range b.Wells {
		w := &b.Wells[i]
		for d := range w.Days {
			s.Daily = append(s.Daily, DailyWell{Day(b.From.AddDays(d)), w.Name, newWater(&w.Days[d], w.Tolerance)})
		}
	}
	for i := range b.Fields {
		f := &b.Fields[i]
		for d := range f.Days {
			s.DailyLand = append(s.DailyLand, DailyField{Day(b.From.AddDays(d)), f.Name, newLand(b, &f.Days[d], f.AreaM2, 1, 1)})
		}
	}
}

// SeasonRow is a row of CSV: a well, a field or the farm in a month, or, with no
// month, in the whole season.
type SeasonRow struct {
	Kind  string `csv:"kind"` // "well", "field" or "farm"
	Name  string `csv:"name"`
	Month string `csv:"month"`
	From  Day    `csv:"from"`
	To    Day    `csv:"to"`
	SeasonWater
	SeasonGround
}

// CSVRows lists wells, fields and the farm, each by month and then as a whole.
func (s *Season) CSVRows() []SeasonRow {
	rows := []SeasonRow{}
	add := func(kind, name, month string, i int, w SeasonWater, g SeasonGround) {
		r := SeasonRow{Kind: kind, Name: name, Month: month, From: s.From, To: s.To, SeasonWater: w, SeasonGround: g}
		if month != "" {
			r.From, r.To = s.monthDays(i)
		}
		rows = append(rows, r)
	}
	none := noGround()
	for i := range s.Wells {
		w := &s.Wells[i]
		for m := range w.Months {
			add("well", w.Well, w.Months[m].Month, m, w.Months[m].SeasonWater, none)
		}
		add("well", w.Well, "", 0, w.Season, none)
	}
	for i := range s.Fields {
		f := &s.Fields[i]
		for m := range f.Months {
			add("field", f.Field, f.Months[m].Month, m, f.Months[m].SeasonWater, f.Months[m].SeasonGround)
		}
		add("field", f.Field, "", 0, f.Season.SeasonWater, f.Season.SeasonGround)
	}
	for m := range s.Total.Months {
		add("farm", s.Farm, s.Total.Months[m].Month, m, s.Total.Months[m].SeasonWater, s.Total.Months[m].SeasonGround)
	}
	add("farm", s.Farm, "", 0, s.Total.SeasonWater, s.Total.SeasonGround)
	return rows
}

// monthDays are the first and the last day of a month within the books.
func (s *Season) monthDays(m int) (from, to Day) {
	d := civil.Date(s.From)
	for i := range m {
		d = d.AddDays(s.Total.Months[i].Days)
	}
	return Day(d), Day(d.AddDays(s.Total.Months[m].Days - 1))
}

// noGround is a row without ground: nothing in its cells.
func noGround() SeasonGround {
	n := Number(math.NaN())
	return SeasonGround{n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n, n}
}

// Keep leaves only the wells and fields that pass the test; the totals stay those
// of the farm.
func (s *Season) Keep(field, well func(name string) bool) {
	s.Wells = filter(s.Wells, func(w SeasonWell) bool { return well(w.Well) })
	s.Fields = filter(s.Fields, func(f SeasonField) bool { return field(f.Field) })
	s.Machines = filter(s.Machines, func(m MachineFlow) bool { return well(m.Well) })
	s.Cuts = filter(s.Cuts, func(c SeasonCut) bool { return field(c.Field) })
	s.Estimated = filter(s.Estimated, func(e Estimated) bool { return e.well && well(e.Where) || !e.well && field(e.Where) })
	s.placed = filter(s.placed, func(n placedNote) bool { return n.field != "" && field(n.field) || n.field == "" && well(n.well) })
	s.partly = true
	s.warn()
	s.Daily = filter(s.Daily, func(d DailyWell) bool { return well(d.Well) })
	s.DailyLand = filter(s.DailyLand, func(d DailyField) bool { return field(d.Field) })
}

// notice is what the report is not, and what to check before it is used as more.
var notice = [...]string{
	"These are the farm's own books. This is not a regulatory filing and has not been checked by any authority.",
	"Before you report a withdrawal, check your own rules: how it must be measured and by what kind of meter, how often the meter must be read and tested, which dates the water year has, the units and rounding of the form, the limit of your permit, district or compact, who must sign, and what estimates are accepted.",
	"A limit in farm.toml is what somebody typed there, not what the law says.",
}

func anyWarning[T any](list []T, test func(T) bool) bool { return slices.ContainsFunc(list, test) }
