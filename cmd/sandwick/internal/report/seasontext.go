// The season's books for people: water and money first, then the ground, then
// what it all rests on.

package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"

	"github.com/golang-sql/civil"
)

// WriteText prints the books.
func (p *Season) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: water books, %s to %s\n", p.Farm, dayYearText(civil.Date(p.From)), dayYearText(civil.Date(p.To)))
	b.WriteString("A figure marked * rests in whole or in part on an estimate; how much is told below.\n")
	p.writeWells(&b, s)
	p.writePeaks(&b, s)
	p.writeMachines(&b, s)
	p.writeFields(&b, s)
	p.writeSkipped(&b, s)
	p.writeCuts(&b, s)
	p.writeSeasons(&b, s)
	p.writeEstimated(&b, s)
	writeLines(&b, "How it was reckoned", Texts(p.Methods, s))
	writeList(&b, "Take note", Texts(p.Warnings, s))
	writeLines(&b, "What this is not", p.Notice)
	_, err := io.WriteString(w, b.String())
	return err
}

// part tells whether a part of a whole is more than rounding.
func part(of, whole Number) bool { return float64(of) > 1e-9*math.Abs(float64(whole)) && of > 0 }

func (p *Season) money(n Number) string { return units.Money(p.Currency, float64(n)) }

func (p *Season) writeWells(b *strings.Builder, s units.System) {
	if len(p.Wells) == 0 {
		return
	}
	b.WriteString("\nWATER WITHDRAWN\n")
	t := table.New(table.Words("well"), table.Words("month"), table.Numbers("withdrawn", units.Withdrawal.Unit(s)),
		table.Numbers("", units.Millions.Unit(s)), table.Words("by"), table.Numbers("h x flow", units.Withdrawal.Unit(s)),
		table.Numbers("meter off", "%"), table.Numbers("pumped", "h"), table.Numbers("energy", units.Energy.Unit(s)), table.Numbers("cost", ""))
	t.Indent = 2
	row := func(well, month string, w *SeasonWater) {
		off := units.Number(float64(w.ApartPct), 1)
		if w.Drift {
			off += "!"
		}
		estimated := w.Estimated.has("withdrawn_m3")
		t.Row(well, month, mark(units.Withdrawal.Format(s, float64(w.M3)), estimated), mark(units.Millions.Format(s, float64(w.M3)), estimated),
			basisText(w.Basis), units.Withdrawal.Format(s, float64(w.PassM3)), off, p.hours(w, s), p.energy(w, s), p.cost(w))
	}
	for i := range p.Wells {
		w := &p.Wells[i]
		for m := range w.Months {
			if x := &w.Months[m]; x.M3 > 0 || x.PumpHours > 0 || x.DryHours > 0 {
				row(w.Well, x.Month, &x.SeasonWater)
			}
		}
		row(w.Well, "season", &w.Season)
	}
	if len(p.Wells) > 1 {
		row("all wells", "season", &p.Total.SeasonWater)
	}
	b.WriteString(t.String())
	if anyWarning(p.Wells, func(w SeasonWell) bool {
		return w.Season.Drift || anyWarning(w.Months, func(m WellMonth) bool { return m.Drift })
	}) {
		b.WriteString("  ! further off than allowed\n")
	}
}

// hours, energy and cost of a withdrawal, marked where they are estimated.
func (p *Season) hours(w *SeasonWater, s units.System) string {
	return mark(units.Hours.Format(s, float64(w.PumpHours)), w.Estimated.has("pump_hours"))
}

func (p *Season) energy(w *SeasonWater, s units.System) string {
	return mark(units.Energy.Format(s, float64(w.EnergyKWh)), w.Estimated.has("energy_kwh"))
}

func (p *Season) cost(w *SeasonWater) string { return mark(p.money(w.Cost), w.Estimated.has("cost")) }

func basisText(basis string) string {
	switch basis {
	case "meter and hours x flow":
		return "both"
	case "none":
		return "-"
	}
	return basis
}

// writePeaks tells the greatest days, and how the limit stands.
func (p *Season) writePeaks(b *strings.Builder, s units.System) {
	if len(p.Wells) == 0 {
		return
	}
	b.WriteString("\nHIGHEST WITHDRAWAL OF ONE DAY AND OF 30, AND SEASON LIMIT\n")
	v := units.Withdrawal.Unit(s)
	t := table.New(table.Words("well"), table.Numbers("one day", v), table.Words("on"), table.Numbers("30 days", v), table.Words("to"),
		table.Numbers("limit", v), table.Numbers("used", "%"), table.Numbers("may end at", v), table.Words("by"))
	t.Indent = 2
	day := func(d Day) string {
		if d == (Day{}) {
			return "-"
		}
		return shortDay(civil.Date(d))
	}
	for i := range p.Wells {
		w := &p.Wells[i]
		ends, by := "-", "-"
		if w.Projection.MeanM3.finite() {
			ends = units.Withdrawal.Format(s, float64(w.Projection.MeanM3))
			if w.Projection.Years > 1 {
				ends += fmt.Sprintf(" (%s-%s)", units.Withdrawal.Format(s, float64(w.Projection.LeastM3)), units.Withdrawal.Format(s, float64(w.Projection.MostM3)))
			}
			by = w.Projection.Method
			if w.Projection.Years > 0 {
				ends, by = mark(ends, w.Projection.Estimated), fmt.Sprintf("%s, %d y", by, w.Projection.Years)
			}
		}
		t.Row(w.Well, w.PeakDay.text(s), day(w.PeakDay.From), w.Peak30.text(s), day(w.Peak30.To),
			units.Withdrawal.Format(s, float64(w.LimitM3)), units.Number(float64(w.UsedPct), 0), ends, by)
	}
	if len(p.Wells) > 1 {
		t.Row("all wells", p.Total.PeakDay.text(s), day(p.Total.PeakDay.From), p.Total.Peak30.text(s), day(p.Total.Peak30.To), "-", "-", "-", "-")
	}
	b.WriteString(t.String())
	if anyWarning(p.Wells, func(w SeasonWell) bool { return w.Projection.Estimated }) {
		b.WriteString("  may end at: the mean of so many earlier years y, from the least to the most\n")
	}
}

func (k Peak) text(s units.System) string {
	return mark(units.Withdrawal.Format(s, float64(k.M3)), part(k.EstimatedM3, k.M3))
}

func (p *Season) writeMachines(b *strings.Builder, s units.System) {
	if len(p.Machines) == 0 {
		return
	}
	b.WriteString("\nREAL FLOW BY THE METER\n")
	unit := units.PreciseFlow.Unit(s)
	t := table.New(table.Words("pivot"), table.Words("well"), table.Numbers("flow", unit), table.Numbers("std error", unit),
		table.Numbers("by farm.toml", unit), table.Numbers("rests on", "h"), table.Numbers("intervals", ""))
	t.Indent = 2
	for _, m := range p.Machines {
		t.Row(m.Pivot, m.Well, units.PreciseFlow.Format(s, float64(m.FlowM3H)), units.PreciseFlow.Format(s, float64(m.ErrorM3H)),
			units.PreciseFlow.Format(s, float64(m.StatedM3H)), units.Hours.Format(s, float64(m.Hours)), fmt.Sprint(m.Intervals))
	}
	b.WriteString(t.String())
	b.WriteString(table.Paragraph("  ", "by farm.toml: the flow it states, and the end gun's where it ran, over the same hours"))
}

func (p *Season) writeFields(b *strings.Builder, s units.System) {
	if len(p.Fields) == 0 {
		return
	}
	d := units.Depth.Unit(s)
	b.WriteString("\nWHERE THE WATER WENT: rain + net + upflux = ET + percolation + runoff + storage\n")
	t := table.New(table.Words("field"), table.Words("month"), table.Numbers("rain", d), table.Numbers("net", d), table.Numbers("upflux", d),
		table.Numbers("ET", d), table.Numbers("percolation", d), table.Numbers("runoff", d), table.Numbers("storage", d), table.Numbers("stress", "days"))
	t.Indent = 2
	row := func(field, month string, l *Land) {
		g := &l.SeasonGround
		t.Row(field, month, l.depth(s, g.RainMM, "rain_mm"), l.depth(s, g.NetMM, "irrigation_net_mm"), l.depth(s, g.UpfluxMM, "upflux_mm"),
			l.depth(s, g.ETMM, "et_mm"), l.depth(s, g.PercolationMM, "percolation_mm"), l.depth(s, g.RunoffMM, "runoff_mm"),
			l.depth(s, g.StorageMM, "storage_change_mm"), units.Number(float64(g.StressDays), 1))
	}
	for i := range p.Fields {
		f := &p.Fields[i]
		for m := range f.Months {
			row(f.Field, f.Months[m].Month, &f.Months[m].Land)
		}
		row(f.Field, "season", &f.Season)
	}
	if len(p.Fields) > 1 {
		row("all fields", "season", &p.Total.Land)
	}
	b.WriteString(t.String())
	b.WriteString(table.Paragraph("  ", p.closeText(s)))
}

// depth is a figure of the ground, marked where it is estimated.
func (l *Land) depth(s units.System, mm Number, name string) string {
	return mark(depths(s, mm), l.Estimated.has(name))
}

// closeText says how the books close.
func (p *Season) closeText(s units.System) string {
	// What is left of rounding differs from machine to machine; under the bound
	// that the walk holds, it is not told.
	most := max(math.Abs(float64(p.Total.ClosureMM)), math.Abs(float64(p.Total.WorstMM)), fields.MaxClosureMM)
	text := fmt.Sprintf("The balance closes: over all fields together, and in any cell on any day, no more than %.0e mm is unexplained.", most)
	if c := p.Total.CorrectionMM; c != 0 {
		text += " Probe readings put in " + units.Depth.Text(s, float64(c)) + " of it."
	}
	given := 0.0
	for i := range p.Fields {
		given += float64(p.Fields[i].Season.M3)
	}
	text += fmt.Sprintf(" Withdrawn for the fields %s", units.Withdrawal.Text(s, given))
	if p.partly {
		return text + " of the farm's " + units.Withdrawal.Text(s, float64(p.Total.M3)) + "."
	}
	if p.Total.BareM3 > 1 {
		text += ", on ground in no zone " + units.Withdrawal.Text(s, float64(p.Total.BareM3))
	}
	if p.Total.LooseM3 > 1 {
		text += ", without a recorded pass " + units.Withdrawal.Text(s, float64(p.Total.LooseM3))
	}
	return text + ", by the wells " + units.Withdrawal.Text(s, float64(p.Total.M3)) + "."
}

func (p *Season) writeSkipped(b *strings.Builder, s units.System) {
	d := units.Depth.Unit(s)
	b.WriteString("\nIRRIGATION AND RAIN OF EACH FIELD\n")
	w := table.New(table.Words("field"), table.Words("crop"), table.Numbers("area", units.Area.Unit(s)), table.Numbers("gross", d), table.Numbers("spray", d),
		table.Numbers("net", d), table.Numbers("rain", d), table.Numbers("effective", d), table.Numbers("from below", d), table.Numbers("ETc", d))
	w.Indent = 2
	deep := func(name, crop string, l *Land) {
		g := &l.SeasonGround
		w.Row(name, crop, units.Area.Format(s, float64(g.AreaM2)), l.depth(s, g.GrossMM, "irrigation_gross_mm"), l.depth(s, g.SprayMM, "spray_loss_mm"),
			l.depth(s, g.NetMM, "irrigation_net_mm"), l.depth(s, g.RainMM, "rain_mm"), l.depth(s, g.EffectiveMM, "effective_rain_mm"),
			l.depth(s, g.BelowMM, "net_from_below_mm"), l.depth(s, g.ETcMM, "etc_mm"))
	}
	for i := range p.Fields {
		deep(p.Fields[i].Field, p.Fields[i].Crop, &p.Fields[i].Season)
	}
	if len(p.Fields) > 1 {
		deep("farm", "", &p.Total.Land)
	}
	b.WriteString(w.String())
	b.WriteString("  spray: lost on the way to the ground; effective: of the rain; from below: upflux less percolation\n")
	b.WriteString("\nWHAT EACH FIELD TOOK, AND WHAT LEAVING GROUND ALONE SAVED\n")
	v := units.Withdrawal.Unit(s)
	t := table.New(table.Words("field"), table.Numbers("withdrawn", v), table.Numbers("depth", d),
		table.Numbers("pumped", "h"), table.Numbers("cost", ""), table.Numbers("tours", ""), table.Numbers("skipped", "%"),
		table.Numbers("saved", v), table.Numbers("saved", ""), table.Numbers("N brought", units.Mass.Unit(s)), table.Numbers("N lost", units.Mass.Unit(s)))
	t.Indent = 2
	row := func(name string, l *Land, tours string) {
		t.Row(name, mark(units.Withdrawal.Format(s, float64(l.M3)), l.Estimated.has("withdrawn_m3")),
			l.depth(s, l.WithdrawnMM, "withdrawn_mm"), p.hours(&l.SeasonWater, s), p.cost(&l.SeasonWater), tours,
			units.Number(100*float64(l.SkippedM2)/float64(l.ToursM2), 0),
			mark(units.Withdrawal.Format(s, float64(l.SavedM3)), l.Estimated.has("saved_m3")), mark(p.money(l.SavedCost), l.Estimated.has("saved_cost")),
			mark(units.Mass.Format(s, float64(l.NitrateKg)), l.Estimated.has("nitrogen_brought_kg")),
			mark(units.Mass.Format(s, float64(l.LostKg)), l.Estimated.has("nitrogen_lost_kg")))
	}
	for i := range p.Fields {
		f := &p.Fields[i]
		row(f.Field, &f.Season, fmt.Sprint(f.Tours))
	}
	if len(p.Fields) > 1 {
		row("farm", &p.Total.Land, "")
	}
	b.WriteString(t.String())
	b.WriteString("  depth: what was withdrawn, over the ground; gross above is by the flow in farm.toml, net with it\n")
}

func (p *Season) writeCuts(b *strings.Builder, s units.System) {
	if len(p.Cuts) == 0 {
		return
	}
	b.WriteString("\nOIL BY CUT\n")
	t := table.New(table.Words("field"), table.Words("cut"), table.Numbers("oil", units.Mass.Unit(s)), table.Numbers("barrels", ""),
		table.Numbers("yield", units.Yield.Unit(s)), table.Numbers("water", units.Withdrawal.Unit(s)), table.Numbers("for the water", units.PerWater.Unit(s)),
		table.Numbers("energy", units.Energy.Unit(s)), table.Numbers("for the energy", units.PerEnergy.Unit(s)), table.Numbers("hay", units.Mass.Unit(s)))
	t.Indent = 2
	for _, c := range p.Cuts {
		t.Row(c.Field, dayText(civil.Date(c.Date)), units.Mass.Format(s, float64(c.OilKg)), units.Number(float64(c.Barrels), 1),
			units.Yield.Format(s, float64(c.OilKgPerM2)), mark(units.Withdrawal.Format(s, float64(c.WaterM3)), c.Estimated.has("withdrawn_m3")),
			mark(units.PerWater.Format(s, float64(c.OilKgPerM3)), c.Estimated.has("oil_kg_per_m3")),
			mark(units.Energy.Format(s, float64(c.EnergyKWh)), c.Estimated.has("energy_kwh")),
			mark(units.PerEnergy.Format(s, float64(c.OilPerKWh)), c.Estimated.has("oil_kg_per_kwh")), units.Mass.Format(s, float64(c.HayKg)))
	}
	b.WriteString(t.String())
}

func (p *Season) writeSeasons(b *strings.Builder, s units.System) {
	if len(p.Seasons) < 2 {
		return
	}
	v := units.Withdrawal.Unit(s)
	fmt.Fprintf(b, "\nSEASONS SIDE BY SIDE, to %s of each and as a whole\n", shortDay(civil.Date(p.To)))
	t := table.New(table.Words("from"), table.Numbers("to date", v), table.Numbers("season", v), table.Numbers("pumped", "h"), table.Numbers("energy", units.Energy.Unit(s)),
		table.Numbers("one day", v), table.Numbers("30 days", v), table.Numbers("rain", units.Depth.Unit(s)), table.Numbers("ETo", units.Depth.Unit(s)),
		table.Numbers("oil", units.Mass.Unit(s)))
	t.Indent = 2
	for i := range p.Seasons {
		x := &p.Seasons[i]
		whole := "so far"
		if i > 0 {
			whole = mark(units.Withdrawal.Format(s, float64(x.Whole.M3)), x.Whole.Estimated.has("withdrawn_m3"))
		}
		oil := "-"
		if x.OilKg > 0 {
			oil = units.Mass.Format(s, float64(x.OilKg))
		}
		t.Row(civil.Date(x.From).String(), mark(units.Withdrawal.Format(s, float64(x.ToDate.M3)), x.ToDate.Estimated.has("withdrawn_m3")), whole,
			p.hours(&x.Whole, s), p.energy(&x.Whole, s), x.PeakDay.text(s), x.Peak30.text(s),
			depths(s, x.StationRain), depths(s, x.EToMM), oil)
	}
	b.WriteString(t.String())
	b.WriteString("  rain and ETo: the station's, to the same day; - where days are missing\n")
}

// writeEstimated tells, for each kind of figure, how much of it was not measured.
func (p *Season) writeEstimated(b *strings.Builder, s units.System) {
	if len(p.Estimated) == 0 {
		return
	}
	b.WriteString("\n* ESTIMATED: how much of the season's figure was not measured\n")
	t := table.New(table.Words("figure"), table.Words("of"), table.Numbers("share", "%"), table.Words("why"))
	t.Indent = 2
	for _, e := range groupEstimates(p.Estimated, s) {
		t.Row(e.What, e.Where, e.share, e.why)
	}
	b.WriteString(t.String())
}

// EstimatedText is the same as a list.
func (p *Season) EstimatedText(s units.System) []string {
	list := []string{}
	for _, e := range groupEstimates(p.Estimated, s) {
		list = append(list, fmt.Sprintf("%s, %s: %s %%, %s", e.What, e.Where, e.share, e.why))
	}
	return list
}

// estimateLine is one kind of estimate of several places.
type estimateLine struct{ What, Where, share, why string }

// groupEstimates puts places with one kind of estimate and the same share on one line.
func groupEstimates(list []Estimated, s units.System) []estimateLine {
	var out []estimateLine
	at := map[[3]string]int{}
	for _, e := range list {
		line := estimateLine{e.What, e.Where, units.Number(float64(e.SharePct), 1), e.Why(s)}
		if e.SharePct < 0.05 {
			line.share = "under 0.1"
		}
		key := [3]string{line.What, line.share, line.why}
		if i, ok := at[key]; ok {
			out[i].Where += ", " + e.Where
			continue
		}
		at[key] = len(out)
		out = append(out, line)
	}
	const most = 30 // characters; more places than fit are only counted
	for i := range out {
		if n := strings.Count(out[i].Where, ", "); len(out[i].Where) > most && n > 0 {
			first, _, _ := strings.Cut(out[i].Where, ", ")
			out[i].Where = fmt.Sprintf("%s and %d more", first, n)
		}
	}
	return out
}

// writeLines is a list that is never cut short.
func writeLines(b *strings.Builder, head string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", head)
	for _, line := range lines {
		b.WriteString(table.Paragraph("  - ", line))
	}
}
