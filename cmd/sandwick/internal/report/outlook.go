// The dry-spell outlook as it is written: one struct for JSON, CSV and the
// tables.

package report

import (
	"math"

	"sandwick/fields"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// Outlook is what `sandwick outlook` answers. Its JSON names are promised.
type Outlook struct {
	Farm     string        `json:"farm"`
	MadeAt   Instant       `json:"made_at"`
	From     Day           `json:"from"`
	To       Day           `json:"to"`
	Weather  Weather       `json:"weather"`
	Years    Years         `json:"years"`
	Rain     UsefulRain    `json:"useful_rain"`
	DryNow   DryNow        `json:"dry_now"`
	Fields   []FieldDry    `json:"dry_by_field"`
	Chances  []StayDry     `json:"stays_dry"`
	Longest  LongestSpell  `json:"longest_spell"`
	NoRain   bool          `json:"no_rain"` // the zones meet no rain at all
	Zones    []ZoneDryout  `json:"zones"`
	Pumps    []PumpOutlook `json:"pumps"`
	Currency string        `json:"currency"`
	Rests    []Note        `json:"rests_on"`
	Warnings []Note        `json:"warnings"`
	Cautions []string      `json:"cautions"`
}

// Years are the earlier years behind the outlook.
type Years struct {
	First      Day       `json:"first"` // of the record; none without one
	Last       Day       `json:"last"`
	Scenarios  []int     `json:"scenarios"` // years whose weather the zones meet
	LeftOut    []YearOut `json:"left_out"`
	FilledDays int       `json:"filled_days"` // days of scenarios without measured temperature
}

// YearOut is a year with unknown rain on some of the days.
type YearOut struct {
	Year    int `json:"year"`
	Unknown int `json:"days_unknown"`
}

// UsefulRain is the daily rain that ends a dry spell.
type UsefulRain struct {
	MM         Number `json:"least_mm"`
	EToPct     Number `json:"least_pct_of_eto"` // none: whatever the ETo
	WindowDays int    `json:"window_days"`      // before and after the calendar day
}

// DryNow is how long it has been dry.
type DryNow struct {
	Days    int  `json:"days"`
	AtLeast bool `json:"at_least"` // the record does not tell when the spell began
	Through Day  `json:"through"`  // the last day whose rain is known
}

// FieldDry is the same for one field.
type FieldDry struct {
	Field string `json:"field"`
	DryNow
}

// StayDry is the chance that it stays dry.
type StayDry struct {
	MoreDays  int    `json:"more_days"`
	To        Day    `json:"to"`
	ChancePct Number `json:"chance_pct"`
	LowPct    Number `json:"low_pct"`  // interval at 90 %
	HighPct   Number `json:"high_pct"` // likewise
	Method    string `json:"method"`   // "counted", "chain" or "none"
	Years     int    `json:"years"`
	Spells    int    `json:"spells"`      // that had lasted as long at this time of the year
	Held      int    `json:"spells_held"` // of these, went on for so many days more
	Unknown   int    `json:"spells_unknown"`
	DryDays   int    `json:"dry_days"`   // the chain's evidence
	DryToDry  int    `json:"dry_to_dry"` // of these, with a dry day after them
	WetDays   int    `json:"wet_days"`   // counted only on the morrow of rain
	WetToDry  int    `json:"wet_to_dry"`
}

// LongestSpell is the longest dry spell to expect.
type LongestSpell struct {
	To      Day        `json:"to"` // from today; the season's end
	Returns []OneIn    `json:"one_year_in"`
	Years   []YearDays `json:"years"`
	LeftOut int        `json:"years_left_out"`
}

// OneIn is the spell that one year in so many has.
type OneIn struct {
	Years  Number `json:"years"`
	Days   Number `json:"days"`
	Method string `json:"method"` // "ranked", "gumbel", "chain" or "none"
}

// YearDays is the longest spell of one year.
type YearDays struct {
	Year int `json:"year"`
	Days int `json:"days"`
}

// ZoneDryout is when a zone runs dry if nothing is run.
type ZoneDryout struct {
	Field       string     `json:"field"`
	Zone        string     `json:"zone"`
	Pivot       string     `json:"pivot"`
	DepletionMM Number     `json:"depletion_mm"`
	TriggerMM   Number     `json:"trigger_mm"`
	Due         Spread     `json:"due"`
	Stress      Spread     `json:"stress"`
	ByYear      []YearDry  `json:"by_year"`
	order       [2]float64 // what the table is sorted by
}

// Spread is a day over the scenarios: one in ten is sooner than Early, one in
// ten later than Late. No day: not within the days looked at.
type Spread struct {
	Already   bool   `json:"already"` // in the likely case it is so now
	Early     Day    `json:"early"`
	Likely    Day    `json:"likely"`
	Late      Day    `json:"late"`
	WithinPct Number `json:"within_pct"` // of the scenarios
}

// YearDry is one scenario of one zone.
type YearDry struct {
	Year   int `json:"year"` // 0: no rain at all
	Due    Day `json:"due"`
	Stress Day `json:"stress"`
}

// PumpOutlook is how one well comes through if no rain falls.
type PumpOutlook struct {
	Well       string       `json:"well"`
	Verdict    string       `json:"verdict"` // "keeps_up", "catches_up" or "falls_behind"
	From       Day          `json:"behind_from"`
	CaughtUp   Day          `json:"caught_up"`
	AreaM2     Number       `json:"area_m2"`
	NeedMM     Number       `json:"need_mm_per_day"`
	CapacityMM Number       `json:"capacity_mm_per_day"`
	Hours      Number       `json:"hours_per_day"`
	RoundDays  Number       `json:"round_days"` // in which it can refill all its ground once
	SeasonOut  Day          `json:"season_water_out"`
	Behind     []LateGround `json:"behind"`
	GiveUp     []GiveUp     `json:"give_up"`
	Enough     bool         `json:"give_up_is_enough"`
}

// LateGround is a zone that the pumps do not reach in time.
type LateGround struct {
	Field   string `json:"field"`
	Zone    string `json:"zone"`
	Pivot   string `json:"pivot"`
	From    Day    `json:"from"`
	Through Day    `json:"through"`
	Late    int    `json:"days_behind"`
	Stress  Day    `json:"stress"`
	WorstMM Number `json:"worst_mm"`
	UnmetMM Number `json:"et_lost_mm"`
}

// GiveUp is a zone to give up, in the order of the list.
type GiveUp struct {
	Field   string `json:"field"`
	Zone    string `json:"zone"`
	Pivot   string `json:"pivot"`
	WaterM3 Number `json:"water_saved_m3"`
	UnmetMM Number `json:"et_lost_mm"`
	Value   Number `json:"crop_lost"`
	PerM3   Number `json:"crop_lost_per_m3"`
}

// The verdicts on a well.
const (
	keepsUp     = "keeps_up"
	catchesUp   = "catches_up"
	fallsBehind = "falls_behind"
)

// OutlookFacts is what an Outlook is written from.
type OutlookFacts struct {
	Farm     *fields.Farm
	Outlook  *fields.DryOutlook
	Weather  Weather
	Rests    []Note
	Warnings []Note
}

// NewOutlook puts an outlook into the form in which it is written.
func NewOutlook(x OutlookFacts) *Outlook {
	d := x.Outlook
	o := &Outlook{
		Farm: x.Farm.Name, MadeAt: Instant(d.Now), From: Day(d.From), To: Day(d.From.AddDays(d.Days - 1)),
		Weather: x.Weather, Currency: x.Farm.Currency,
		Years:  Years{First: Day(d.First), Last: Day(d.Last), Scenarios: []int{}, LeftOut: []YearOut{}},
		Rain:   UsefulRain{Number(d.Rule.MinMM), Number(math.NaN()), d.WindowDays},
		DryNow: newDryNow(d.Station), Fields: []FieldDry{}, Chances: []StayDry{},
		Longest:  LongestSpell{To: Day(d.SeasonEnd), Returns: []OneIn{}, Years: []YearDays{}, LeftOut: d.Missing},
		Zones:    []ZoneDryout{},
		Pumps:    []PumpOutlook{},
		Rests:    orEmpty(x.Rests),
		Warnings: orEmpty(x.Warnings),
		Cautions: cautions[:],
	}
	if d.Rule.EToShare > 0 {
		o.Rain.EToPct = Number(100 * d.Rule.EToShare)
	}
	o.years(d)
	for _, f := range d.Fields {
		o.Fields = append(o.Fields, FieldDry{f.Field, newDryNow(f)})
	}
	for _, c := range d.Chances {
		o.Chances = append(o.Chances, StayDry{
			MoreDays: c.More, To: Day(c.To), ChancePct: Number(100 * c.P), LowPct: Number(100 * c.Low), HighPct: Number(100 * c.High),
			Method: c.Method.String(), Years: c.Years, Spells: c.Cases, Held: c.Held, Unknown: c.Cut,
			DryDays: c.DryBefore, DryToDry: c.DryToDry, WetDays: c.WetBefore, WetToDry: c.WetToDry,
		})
	}
	for _, r := range d.Returns {
		o.Longest.Returns = append(o.Longest.Returns, OneIn{Number(r.Years), Number(r.Days), r.Method.String()})
	}
	for _, y := range d.Longest {
		o.Longest.Years = append(o.Longest.Years, YearDays{y.Year, y.Days})
	}
	o.zones(x.Farm, d)
	o.pumps(d)
	return o
}

func newDryNow(r fields.DryRun) DryNow { return DryNow{r.Days, r.AtLeast, Day(r.Through)} }

func (o *Outlook) years(d *fields.DryOutlook) {
	o.NoRain = d.Ensemble == nil || len(d.Ensemble.Scenarios) == 0
	if d.Ensemble == nil {
		return
	}
	o.Years.FilledDays = d.Ensemble.FilledDays
	for i := range d.Ensemble.Scenarios {
		o.Years.Scenarios = append(o.Years.Scenarios, d.Ensemble.Scenarios[i].Year)
	}
	for _, y := range d.Ensemble.LeftOut {
		o.Years.LeftOut = append(o.Years.LeftOut, YearOut(y))
	}
}

// dayOf is the date of a day of the outlook; none for a day that is not within it.
func dayOf(from civil.Date, day float64) Day {
	if math.IsNaN(day) || math.IsInf(day, 1) {
		return Day{}
	}
	return Day(from.AddDays(max(0, int(day))))
}

func newSpread(from civil.Date, s *fields.Spread) Spread {
	return Spread{
		Already: s.Likely == fields.Already,
		Early:   dayOf(from, s.Early), Likely: dayOf(from, s.Likely), Late: dayOf(from, s.Late),
		WithinPct: Number(100 * s.Within),
	}
}

func (o *Outlook) zones(farm *fields.Farm, d *fields.DryOutlook) {
	for i := range d.Zones {
		z := &d.Zones[i]
		field := &farm.Fields[farm.ZoneField(z.Zone)]
		out := ZoneDryout{
			Field: field.Name, Zone: farm.Zones[z.Zone].Name, Pivot: field.Pivot,
			DepletionMM: Number(z.DepletMM), TriggerMM: Number(z.TriggerMM),
			Due: newSpread(d.From, &z.Due), Stress: newSpread(d.From, &z.Stress),
			order: [2]float64{z.Stress.Likely, z.Due.Likely},
		}
		for k := range z.Due.ByScenario {
			year := 0
			if !o.NoRain {
				year = o.Years.Scenarios[k]
			}
			out.ByYear = append(out.ByYear, YearDry{year, dayOf(d.From, z.Due.ByScenario[k]), dayOf(d.From, z.Stress.ByScenario[k])})
		}
		o.Zones = append(o.Zones, out)
	}
}

func (o *Outlook) pumps(d *fields.DryOutlook) {
	day := func(n int) Day {
		if n < 0 || n >= d.Days {
			return Day{}
		}
		return Day(d.From.AddDays(n))
	}
	name := func(machine, zone int) (m *runplan.Machine, z *runplan.Zone) {
		m = &d.Problem.Machines[machine]
		return m, &m.Zones[zone]
	}
	for i := range d.Pumps.Wells {
		w := &d.Pumps.Wells[i]
		out := PumpOutlook{
			Well: w.Name, Verdict: keepsUp, AreaM2: Number(w.AreaM2), NeedMM: Number(w.NeedMM), CapacityMM: Number(w.CapacityMM),
			Hours: Number(w.Hours), RoundDays: Number(w.RoundDays), SeasonOut: day(w.SeasonOut), Behind: []LateGround{}, GiveUp: []GiveUp{}, Enough: w.Enough,
		}
		if !w.KeepsUp() {
			out.From = day(w.Behind[0].From)
			out.Verdict = fallsBehind
			if w.Holds {
				out.Verdict = catchesUp
			}
			if up, ok := w.CatchesUp(d.Days); ok {
				out.CaughtUp = day(up)
			}
		}
		for _, g := range w.Behind {
			m, z := name(g.Machine, g.Zone)
			out.Behind = append(out.Behind, LateGround{
				Field: z.Field, Zone: z.Name, Pivot: m.Name, From: day(g.From), Through: day(g.Through), Late: g.Late, Stress: day(g.Stress),
				WorstMM: Number(g.WorstMM), UnmetMM: Number(g.UnmetMM),
			})
		}
		for _, l := range w.GiveUp {
			m, z := name(l.Machine, l.Zone)
			out.GiveUp = append(out.GiveUp, GiveUp{
				Field: z.Field, Zone: z.Name, Pivot: m.Name, WaterM3: Number(l.WaterM3), UnmetMM: Number(l.UnmetMM),
				Value: Number(l.Value), PerM3: Number(l.PerM3),
			})
		}
		o.Pumps = append(o.Pumps, out)
	}
}

// DryoutRow is one zone as a row of CSV.
type DryoutRow struct {
	Field           string `csv:"field"`
	Zone            string `csv:"zone"`
	Pivot           string `csv:"pivot"`
	DepletionMM     Number `csv:"depletion_mm"`
	TriggerMM       Number `csv:"trigger_mm"`
	DueEarly        Day    `csv:"due_early"`
	DueLikely       Day    `csv:"due_likely"`
	DueLate         Day    `csv:"due_late"`
	DueWithinPct    Number `csv:"due_within_pct"`
	StressEarly     Day    `csv:"stress_early"`
	StressLikely    Day    `csv:"stress_likely"`
	StressLate      Day    `csv:"stress_late"`
	StressWithinPct Number `csv:"stress_within_pct"`
}

// CSVRows are the zones.
func (o *Outlook) CSVRows() []DryoutRow {
	rows := []DryoutRow{}
	for _, z := range o.Zones {
		rows = append(rows, DryoutRow{
			z.Field, z.Zone, z.Pivot, z.DepletionMM, z.TriggerMM,
			z.Due.Early, z.Due.Likely, z.Due.Late, z.Due.WithinPct,
			z.Stress.Early, z.Stress.Likely, z.Stress.Late, z.Stress.WithinPct,
		})
	}
	return rows
}
