// A season run again in several ways.

package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields/replay"

	"github.com/golang-sql/civil"
)

// Replay is what `sandwick replay` answers. Its JSON names are promised.
type Replay struct {
	Farm     string      `json:"farm"`
	From     Day         `json:"from"`
	To       Day         `json:"to"`
	LookDays int         `json:"look_days"` // how far the planner looks each morning
	Ways     []ReplayWay `json:"ways"`
	Rests    []Note      `json:"rests_on"`
	Warnings []Note      `json:"warnings"`
}

// ReplayWay is one way to run the season.
type ReplayWay struct {
	Way    string         `json:"way"` // plan, foresight, refill, calendar or recorded
	Rule   string         `json:"rule"`
	Total  ReplayTotals   `json:"total"`
	Pivots []ReplayTotals `json:"pivots"`
	Passes []ReplayPass   `json:"passes"`
}

// ReplayTotals is what a way took and left, of one pivot or of all.
type ReplayTotals struct {
	Pivot         string `json:"pivot"` // "" for all
	AreaM2        Number `json:"area_m2"`
	Passes        int    `json:"passes"`
	Starts        int    `json:"starts"`
	VolumeM3      Number `json:"volume_m3"`
	GrossMM       Number `json:"gross_mm"` // the same over the ground
	PumpHours     Number `json:"pump_hours"`
	EnergyKWh     Number `json:"energy_kwh"`
	StressDays    Number `json:"stress_days"` // days on which ground was short of water, mean over the ground
	DeficitMM     Number `json:"deficit_mm"`  // ET that the crop went without
	PercolationMM Number `json:"percolation_mm"`
	DepletionMM   Number `json:"depletion_mm"` // at the end
	LostYieldPct  Number `json:"lost_yield_pct"`
	Cost          Cost   `json:"cost"`
}

// ReplayPass is one pass of a way.
type ReplayPass struct {
	Pivot     string  `json:"pivot"`
	Start     Instant `json:"start"`
	End       Instant `json:"end"`
	Direction string  `json:"direction"`
	StartDeg  Number  `json:"start_deg"`
	StopDeg   Number  `json:"stop_deg"`
	Legs      int     `json:"legs"`
	VolumeM3  Number  `json:"volume_m3"`
	PumpHours Number  `json:"pump_hours"`
	EnergyKWh Number  `json:"energy_kwh"`
}

// NewReplay puts a replay into the form in which it is written.
func NewReplay(r *replay.Replay, rests, warnings []Note) *Replay {
	out := &Replay{
		Farm: r.Farm.Name, From: Day(r.From), To: Day(r.To), LookDays: r.LookDays,
		Ways: []ReplayWay{}, Rests: orEmpty(rests), Warnings: orEmpty(warnings),
	}
	for i := range r.Accounts {
		a := &r.Accounts[i]
		w := ReplayWay{Way: a.Way.String(), Rule: ruleText(r, a.Way), Total: newReplayTotals(&a.Total, r.Farm.Currency), Pivots: []ReplayTotals{}, Passes: []ReplayPass{}}
		for p := range a.Pivots {
			w.Pivots = append(w.Pivots, newReplayTotals(&a.Pivots[p], r.Farm.Currency))
		}
		for p := range a.Passes {
			ps := &a.Passes[p]
			w.Passes = append(w.Passes, ReplayPass{
				Pivot: ps.Pivot, Start: Instant(ps.Start), End: Instant(ps.End), Direction: direction(ps.Clockwise),
				StartDeg: Number(ps.StartDeg.Norm()), StopDeg: Number(ps.StopDeg.Norm()), Legs: len(ps.Legs),
				VolumeM3: Number(ps.VolumeM3), PumpHours: Number(ps.PumpHours), EnergyKWh: Number(ps.EnergyKWh),
			})
		}
		out.Ways = append(out.Ways, w)
	}
	return out
}

func newReplayTotals(t *replay.Totals, currency string) ReplayTotals {
	return ReplayTotals{
		Pivot: t.Pivot, AreaM2: Number(t.AreaM2), Passes: t.Passes, Starts: t.Starts,
		VolumeM3: Number(t.WaterM3), GrossMM: Number(1000 * t.WaterM3 / t.AreaM2), PumpHours: Number(t.Hours), EnergyKWh: Number(t.EnergyKWh),
		StressDays: Number(t.StressDays), DeficitMM: Number(t.DeficitMM), PercolationMM: Number(t.PercolationMM), DepletionMM: Number(t.EndMM),
		LostYieldPct: Number(100 * t.LostYield), Cost: newCost(t.Cost, currency),
	}
}

// ruleText is the rule of a way, in a sentence without numbers in units.
func ruleText(r *replay.Replay, w replay.Way) string {
	switch w {
	case replay.Planned:
		return fmt.Sprintf("the planner each morning, %d days ahead, seeing what was known then: no forecast; what is begun is weighed over the same days of earlier years", r.LookDays)
	case replay.Foresight:
		return fmt.Sprintf("the same planner told the true weather of its %d days", r.LookDays)
	case replay.Refill:
		return "the whole circle, at one timer, on the day its driest zone comes to the trigger, with what that zone is short of"
	case replay.Calendar:
		parts := []string{}
		for _, c := range r.Calendar {
			if c.Last >= c.First && c.EveryDays > 0 {
				parts = append(parts, fmt.Sprintf("%s every %s", c.Pivot, count(c.EveryDays, "day", "days")))
			}
		}
		text := "the whole circle every so many days whatever the weather: what the driest zone holds to its trigger over the season's peak use"
		if len(parts) > 0 {
			text += " (" + strings.Join(parts, ", ") + ")"
		}
		return text
	case replay.Recorded:
		return "as records/passes.csv has it"
	}
	return ""
}

// wayName is a way as a table names it.
func wayName(way string) string {
	return map[string]string{
		"plan": "the plan", "foresight": "told the weather", "refill": "refill at trigger", "calendar": "by the calendar", "recorded": "as it was run",
	}[way]
}

// WriteText prints the season: what each way took and left, then its cost.
func (r *Replay) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	from, to := civil.Date(r.From), civil.Date(r.To)
	fmt.Fprintf(&b, "%s: the season run again, %s to %s\n", r.Farm, dayText(from), dayYearText(to))
	if text := r.verdict(s); text != "" {
		b.WriteString(table.Paragraph("", text))
	}
	b.WriteString("\nWHAT IT TOOK AND LEFT\n")
	r.writeTotals(&b, s, func(w *ReplayWay) *ReplayTotals { return &w.Total })
	b.WriteString(table.Paragraph("  ", stressTerms))
	b.WriteString("\nWHAT IT COST\n")
	r.writeCost(&b)
	if len(r.Ways) > 0 && len(r.Ways[0].Pivots) > 1 {
		for p := range r.Ways[0].Pivots {
			fmt.Fprintf(&b, "\n%s\n", r.Ways[0].Pivots[p].Pivot)
			r.writeTotals(&b, s, func(w *ReplayWay) *ReplayTotals { return &w.Pivots[p] })
		}
	}
	b.WriteString("\nThe ways\n")
	for i := range r.Ways {
		b.WriteString(table.Paragraph("  - "+wayName(r.Ways[i].Way)+": ", r.Ways[i].Rule+"."))
	}
	writeList(&b, "What this rests on", Texts(r.Rests, s))
	writeList(&b, "Take note", Texts(r.Warnings, s))
	_, err := io.WriteString(w, b.String())
	return err
}

// stressTerms are what the two columns of stress mean; the same for every way.
const stressTerms = "Stress: days on which ground was short of water at all, be it by little, mean over the ground. " +
	"ET missed: by how much, over all days. Both are booked alike for every way."

// verdict holds the plan against the others.
func (r *Replay) verdict(s units.System) string {
	plan := r.way("plan")
	if plan == nil {
		return ""
	}
	parts, missed := []string{}, []string{}
	against := func(way, name, by string) {
		o := r.way(way)
		if o == nil || !(o.Total.VolumeM3 > 0) {
			return
		}
		parts = append(parts, fmt.Sprintf("%s water and %s cost than %s", lessText(float64(plan.Total.VolumeM3/o.Total.VolumeM3)), lessText(float64(plan.Total.Cost.Total/o.Total.Cost.Total)), name))
		missed = append(missed, units.Depth.Text(s, float64(o.Total.DeficitMM))+" "+by)
	}
	against("recorded", "as it was run", "as it was run")
	against("refill", "refill at the trigger", "by refill")
	against("calendar", "the calendar", "by the calendar")
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("The plan takes %s. The crop went without %s by the plan, %s.", strings.Join(parts, "; "),
		units.Depth.Text(s, float64(plan.Total.DeficitMM)), strings.Join(missed, ", "))
}

func lessText(ratio float64) string {
	if math.IsNaN(ratio) || math.IsInf(ratio, 0) {
		return "other"
	}
	pct := math.Round(100 * (1 - ratio))
	switch {
	case pct > 0:
		return fmt.Sprintf("%.0f %% less", pct)
	case pct < 0:
		return fmt.Sprintf("%.0f %% more", -pct)
	}
	return "no less"
}

func (r *Replay) way(name string) *ReplayWay {
	for i := range r.Ways {
		if r.Ways[i].Way == name {
			return &r.Ways[i]
		}
	}
	return nil
}

func (r *Replay) writeTotals(b *strings.Builder, s units.System, of func(*ReplayWay) *ReplayTotals) {
	t := table.New(table.Words("way"), table.Numbers("water", units.Depth.Unit(s)), table.Numbers("volume", units.Volume.Unit(s)), table.Numbers("pumps", units.Hours.Unit(s)),
		table.Numbers("energy", "kWh"), table.Numbers("starts", ""), table.Numbers("stress", "days"), table.Numbers("ET missed", units.Depth.Unit(s)), table.Numbers("drained", units.Depth.Unit(s)),
		table.Numbers("lost yield", "%"))
	t.Indent = 2
	for i := range r.Ways {
		x := of(&r.Ways[i])
		t.Row(wayName(r.Ways[i].Way), units.Depth.Format(s, float64(x.GrossMM)), units.Volume.Format(s, float64(x.VolumeM3)), units.Hours.Format(s, float64(x.PumpHours)),
			units.Number(float64(x.EnergyKWh), 0), fmt.Sprint(x.Starts), units.Number(float64(x.StressDays), 1), units.Depth.Format(s, float64(x.DeficitMM)), units.Depth.Format(s, float64(x.PercolationMM)),
			units.Number(float64(x.LostYieldPct), 1))
	}
	b.WriteString(t.String())
}

func (r *Replay) writeCost(b *strings.Builder) {
	// What [priorities] count for has a column where there is any.
	terms := []struct {
		name  string
		value func(*Cost) Number
	}{
		{"pumping", func(c *Cost) Number { return c.Pumping }}, {"starts", func(c *Cost) Number { return c.Labour }},
		{"stress", func(c *Cost) Number { return c.Stress }}, {"late", func(c *Cost) Number { return c.Late }},
		{"leached", func(c *Cost) Number { return c.Percolation }}, {"owed", func(c *Cost) Number { return c.Carry }},
		{"priorities", func(c *Cost) Number { return c.Preference }}, {"total", func(c *Cost) Number { return c.Total }},
	}
	wishes := slices.ContainsFunc(r.Ways, func(w ReplayWay) bool { return w.Total.Cost.Preference != 0 })
	if !wishes {
		terms = slices.Delete(terms, len(terms)-2, len(terms)-1)
	}
	columns := []table.Column{table.Words("way")}
	for _, term := range terms {
		columns = append(columns, table.Numbers(term.name, ""))
	}
	t := table.New(columns...)
	t.Indent = 2
	for i := range r.Ways {
		c := &r.Ways[i].Total.Cost
		row := []string{wayName(r.Ways[i].Way)}
		for _, term := range terms {
			row = append(row, units.Money(c.Currency, float64(term.value(c))))
		}
		t.Row(row...)
	}
	b.WriteString(t.String())
	if wishes {
		b.WriteString(table.Paragraph("  ", "Priorities: what [priorities] in farm.toml count for, no money."))
	}
}

// ReplayRow is one way and pivot as a row of CSV; the row of all pivots has none.
type ReplayRow struct {
	Way           string `csv:"way"`
	Pivot         string `csv:"pivot"`
	AreaM2        Number `csv:"area_m2"`
	Passes        int    `csv:"passes"`
	Starts        int    `csv:"starts"`
	VolumeM3      Number `csv:"volume_m3"`
	GrossMM       Number `csv:"gross_mm"`
	PumpHours     Number `csv:"pump_hours"`
	EnergyKWh     Number `csv:"energy_kwh"`
	StressDays    Number `csv:"stress_days"`
	DeficitMM     Number `csv:"deficit_mm"`
	PercolationMM Number `csv:"percolation_mm"`
	DepletionMM   Number `csv:"depletion_mm"`
	LostYieldPct  Number `csv:"lost_yield_pct"`
	Pumping       Number `csv:"cost_pumping"`
	Labour        Number `csv:"cost_labour"`
	Stress        Number `csv:"cost_stress"`
	Late          Number `csv:"cost_late"`
	Percolation   Number `csv:"cost_percolation"`
	Carry         Number `csv:"cost_carry"`
	Preference    Number `csv:"cost_preference"` // what [priorities] count for; no money
	Total         Number `csv:"cost_total"`
}

// Rows lists every way: all pivots together, then one by one.
func (r *Replay) Rows() []ReplayRow {
	rows := []ReplayRow{}
	for i := range r.Ways {
		w := &r.Ways[i]
		for _, x := range append([]ReplayTotals{w.Total}, w.Pivots...) {
			c := &x.Cost
			rows = append(rows, ReplayRow{
				w.Way, x.Pivot, x.AreaM2, x.Passes, x.Starts, x.VolumeM3, x.GrossMM, x.PumpHours, x.EnergyKWh, x.StressDays, x.DeficitMM, x.PercolationMM,
				x.DepletionMM, x.LostYieldPct, c.Pumping, c.Labour, c.Stress, c.Late, c.Percolation, c.Carry, c.Preference, c.Total,
			})
		}
	}
	return rows
}
