// Where every zone stands today, on one screen.

package report

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"

	"github.com/golang-sql/civil"
)

// Status is what `sandwick status` answers. Its JSON names are promised.
type Status struct {
	Farm      string       `json:"farm"`
	Alerts    []string     `json:"alerts"` // to be known first: old weather, ground seen otherwise than the books have it
	At        Instant      `json:"at"`
	Through   Day          `json:"weather_through"` // last day with weather measured
	Days      int          `json:"days_looked_at"`
	Committed []Committed  `json:"committed"` // trips recorded that reach beyond at: under way, or entered ahead
	Zones     []ZoneStatus `json:"zones"`     // worst first
	Warnings  []Note       `json:"warnings"`
}

// ZoneStatus is one zone this morning: the depletion that the last day left, and
// the trigger of today. Those of the driest ground, the ground of the zone nearest
// to its trigger, are depletion_mm and trigger_mm of `sandwick plan`.
type ZoneStatus struct {
	Zone          string `json:"zone" csv:"zone"`
	Field         string `json:"field" csv:"field"`
	Pivot         string `json:"pivot" csv:"pivot"`
	Standing      string `json:"standing" csv:"standing"`                       // "short", "due", "soon", "holds" or "no crop"
	DepletionMM   Number `json:"depletion_mm" csv:"depletion_mm"`               // mean over the zone
	DriestMM      Number `json:"depletion_driest_mm" csv:"depletion_driest_mm"` // of the driest ground
	TriggerMM     Number `json:"trigger_mm" csv:"trigger_mm"`                   // mean over the zone; none without a crop
	DriestTrigMM  Number `json:"trigger_driest_mm" csv:"trigger_driest_mm"`     // of the driest ground
	TAWMM         Number `json:"taw_mm" csv:"taw_mm"`
	Ks            Number `json:"ks" csv:"ks"`
	DaysLeft      Number `json:"days_left" csv:"days_left"` // as the settings stand
	DaysLeftMin   Number `json:"days_left_min" csv:"days_left_min"`
	DaysLeftMax   Number `json:"days_left_max" csv:"days_left_max"`
	LeftMinBy     string `json:"days_left_min_by" csv:"days_left_min_by"` // what the two ends of the range come from
	LeftMaxBy     string `json:"days_left_max_by" csv:"days_left_max_by"`
	Ends          []End  `json:"ends" csv:"-"` // what the range is made of
	StressDays    Number `json:"days_to_stress" csv:"days_to_stress"`
	StressDaysMin Number `json:"days_to_stress_min" csv:"days_to_stress_min"`
	StressDaysMax Number `json:"days_to_stress_max" csv:"days_to_stress_max"`
	LastWater     Day    `json:"last_water" csv:"last_water"`
	LastNetMM     Number `json:"last_net_mm" csv:"last_net_mm"`
	TableM        Number `json:"water_table_m" csv:"water_table_m"`
	Estimated     bool   `json:"estimated" csv:"estimated"` // the last day's weather was partly or wholly estimated
}

// The words for how a zone stands.
const (
	standsShort  = "short" // of water already
	standsDue    = "due"   // its driest ground has reached the trigger
	standsSoon   = "soon"  // it will within soonDays at the less favourable end
	standsHolds  = "holds"
	standsFallow = "no crop"
)

// standings are the words, worst first.
var standings = [...]string{standsShort, standsDue, standsSoon, standsHolds, standsFallow}

// soonDays is how near the trigger is called soon: a tour takes about as long.
const soonDays = 2

// NewStatus puts the standing of zones into the form in which it is written.
func NewStatus(season *fields.Season, standing []fields.Standing, at time.Time, days int) *Status {
	f := season.Farm
	s := &Status{
		Farm: f.Name, At: Instant(at), Through: Day(season.WeatherThrough), Days: days, Zones: []ZoneStatus{},
		Alerts:    alerts(season, season.Contradicted(), func(string) string { return "its days left" }),
		Committed: NewCommitted(f, at, f.StartOfDay(season.Today.AddDays(days))),
		Warnings:  BookNotes(season),
	}
	nan := Number(math.NaN())
	for i := range standing {
		st := &standing[i]
		z := ZoneStatus{
			DepletionMM: Number(st.Morning.DepletMM), DriestMM: Number(st.Morning.DriestMM),
			TriggerMM: Number(st.Morning.TriggerMM), DriestTrigMM: Number(st.Morning.DriestTriggerMM), TAWMM: Number(st.Morning.TAWMM),
			Ks: nan, TableM: Number(f.Zones[st.Zone].TableM),
			DaysLeft: Number(st.Left.Due.AsSet), DaysLeftMin: Number(st.Left.Due.Min), DaysLeftMax: Number(st.Left.Due.Max),
			LeftMinBy: st.Left.Due.MinBy.String(), LeftMaxBy: st.Left.Due.MaxBy.String(), Ends: newEnds(&st.Left.Due, st.Ends),
			StressDays: Number(st.Left.Stress.AsSet), StressDaysMin: Number(st.Left.Stress.Min), StressDaysMax: Number(st.Left.Stress.Max),
			LastWater: Day(st.LastWater), LastNetMM: Number(st.LastNetMM),
		}
		z.Field, z.Zone, z.Pivot = ground(f, st.Zone)
		if n := season.Days(); n > 0 {
			a := season.Account(n-1, st.Zone)
			z.Ks, z.TableM = Number(a.Ks), Number(a.TableM)
			z.Estimated = a.Filled != 0 || a.Basis != fields.Measured
		}
		z.Standing = z.stands(st.Morning.NoCrop)
		s.Zones = append(s.Zones, z)
	}
	slices.SortStableFunc(s.Zones, func(a, b ZoneStatus) int {
		return cmp.Or(
			cmp.Compare(slices.Index(standings[:], a.Standing), slices.Index(standings[:], b.Standing)),
			cmp.Compare(float64(a.DaysLeftMin), float64(b.DaysLeftMin)),
			cmp.Compare(float64(b.DriestMM/b.DriestTrigMM), float64(a.DriestMM/a.DriestTrigMM)),
		)
	})
	return s
}

func (z *ZoneStatus) stands(bare bool) string {
	switch {
	case bare:
		return standsFallow
	case z.StressDays <= 0:
		return standsShort
	case z.DaysLeft <= 0:
		return standsDue
	case z.DaysLeftMin <= soonDays:
		return standsSoon
	}
	return standsHolds
}

// Keep leaves only the zones of the fields that pass the test.
func (s *Status) Keep(field func(name string) bool) {
	s.Zones = filter(s.Zones, func(z ZoneStatus) bool { return field(z.Field) })
	s.Committed = filter(s.Committed, func(c Committed) bool {
		return slices.ContainsFunc(s.Zones, func(z ZoneStatus) bool { return z.Pivot == c.Pivot })
	})
}

// What one screen holds: zones, the rest being better off, and zones of which it is
// told what makes their days a range.
const (
	mostZones   = 24
	mostGoverns = 6
)

// WriteText prints the table.
func (s *Status) WriteText(w io.Writer, u units.System) error {
	var b strings.Builder
	writeAlerts(&b, s.Alerts)
	at := time.Time(s.At)
	fmt.Fprintf(&b, "%s: where the ground stands, %s %s", s.Farm, dayYearText(civil.DateOf(at)), at.Format("15:04"))
	if through := civil.Date(s.Through); through.IsValid() {
		fmt.Fprintf(&b, "; weather measured to %s", dayText(through))
	}
	b.WriteByte('\n')
	writeCommitted(&b, s.Committed)
	b.WriteByte('\n')
	d := units.Depth.Unit(u)
	t := table.New(table.Words("zone"), table.Words("stands"), table.Numbers("days left", "to trigger"), table.Numbers("driest", d), table.Numbers("trigger", d),
		table.Numbers("mean", d), table.Numbers("last water", ""), table.Numbers("net", d), table.Numbers("table", units.Ground.Unit(u)), table.Words("field"))
	estimated := false
	var governs []string
	for i := range s.Zones {
		if i == mostZones {
			break
		}
		z := &s.Zones[i]
		last, net, deep := "none", "-", "deep"
		if z.LastWater != (Day{}) {
			last, net = dayText(civil.Date(z.LastWater)), depths(u, z.LastNetMM)
		}
		if z.Pivot == "" {
			last = "rain-fed"
		}
		if z.TableM.finite() {
			deep = units.Ground.Format(u, float64(z.TableM))
		}
		estimated = estimated || z.Estimated
		if text := z.lasts().governs(u, s.Days); text != "" {
			governs = append(governs, z.Zone+": "+text)
		}
		t.Row(z.Zone, z.Standing, daysText(float64(z.DaysLeftMin), float64(z.DaysLeftMax), s.Days), mark(DepletionText(u, float64(z.DriestMM)), z.Estimated),
			depths(u, z.DriestTrigMM), DepletionText(u, float64(z.DepletionMM)), last, net, deep, z.Field)
	}
	b.WriteString(t.String())
	if more := len(s.Zones) - mostZones; more > 0 {
		fmt.Fprintf(&b, "and %s that stand better; --json has all\n", count(more, "zone", "zones"))
	}
	b.WriteByte('\n')
	b.WriteString(table.Paragraph("", fmt.Sprintf("Days until the first ground of the zone reaches its trigger without more water, looking %d days ahead; two numbers where what is not known of roots, water table and soil makes a difference. Driest: depletion of that ground this morning, beside its trigger of today; mean: depletion of the whole zone. Short: it lacks water already.", s.Days)))
	if slices.ContainsFunc(s.Zones, func(z ZoneStatus) bool { return isWet(u, float64(z.DriestMM)) || isWet(u, float64(z.DepletionMM)) }) {
		b.WriteString(table.Paragraph("", wetNote))
	}
	if estimated {
		b.WriteString("* yesterday's weather was partly estimated\n")
	}
	if more := len(governs) - mostGoverns; more > 0 {
		governs = append(governs[:mostGoverns], fmt.Sprintf("so of %s more; --json has all", count(more, "zone", "zones")))
	}
	writeGoverns(&b, governs)
	writeList(&b, "Take note", Texts(s.Warnings, u))
	_, err := io.WriteString(w, b.String())
	return err
}
