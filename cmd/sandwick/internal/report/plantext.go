// The run plan for people: the decision first, the numbers behind it second.

package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// WriteText prints the plan for reading at the counter or in the cab.
func (p *Plan) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	writeAlerts(&b, p.Alerts)
	made := time.Time(p.MadeAt)
	fmt.Fprintf(&b, "%s: run plan of %s, %s\n", p.Farm, dayYearText(civil.DateOf(made)), made.Format("15:04"))
	b.WriteString(table.Paragraph("", p.weatherText()))
	writeCommitted(&b, p.Committed)
	p.writePasses(&b, s)
	p.writeNotRun(&b, s)
	p.writeLater(&b, s)
	p.writeZones(&b, s)
	p.writeBehind(&b, s)
	p.writeCost(&b)
	writeList(&b, "What this rests on", p.restsText(s))
	writeList(&b, "Take note", Texts(p.Warnings, s))
	writeList(&b, "Cautions", p.Cautions)
	_, err := io.WriteString(w, b.String())
	return err
}

func (p *Plan) horizon() int {
	return civil.Date(p.To).DaysSince(civil.Date(p.From)) + 1
}

// weatherText says how far the plan looks and how far its weather reaches.
func (p *Plan) weatherText() string {
	text := "Looks ahead to " + dayText(civil.Date(p.To)) + "."
	through := civil.Date(p.Weather.Through)
	if through != (civil.Date{}) {
		text += " Weather measured to " + dayText(through)
		if gap := civil.Date(p.From).DaysSince(through) - 1; gap > 0 {
			text += fmt.Sprintf(", %s before today: what has happened since is not in this plan", count(gap, "whole day", "whole days"))
		}
		text += "."
	}
	if f := civil.Date(p.Weather.Forecast); f != (civil.Date{}) {
		text += " Forecast to " + dayText(f) + "."
	}
	if p.Weather.Beyond != "" {
		text += " " + sentence(p.Weather.Beyond)
	}
	return text
}

func (p *Plan) writePasses(b *strings.Builder, s units.System) {
	started := map[string]bool{}
	for i := range p.Passes {
		pass := &p.Passes[i]
		if p.startsSoon(pass) {
			cuts := []string{}
			if !started[pass.Pivot] {
				cuts = p.cutTexts(pass.Pivot)
			}
			writePass(b, pass, cuts, p.Cost.Currency, s)
			started[pass.Pivot] = true
		}
	}
	if len(started) == 0 {
		b.WriteString("\nSTART NOTHING today or tomorrow.\n")
	}
}

func writePass(b *strings.Builder, pass *Pass, cuts []string, currency string, s units.System) {
	start, end := time.Time(pass.Start), time.Time(pass.End)
	turn := "clockwise"
	if pass.Direction == "ccw" {
		turn = "counter-clockwise"
	}
	way := fmt.Sprintf("%s from %s to %s degrees", turn, degText(float64(pass.StartDeg)), degText(float64(pass.StopDeg)))
	if degText(float64(pass.StartDeg)) == degText(float64(pass.StopDeg)) {
		way = fmt.Sprintf("once round %s from %s degrees", turn, degText(float64(pass.StartDeg)))
	}
	fmt.Fprintf(b, "\nSTART %s, %s, %s\n", pass.Pivot, momentText(start), way)
	fmt.Fprintf(b, "  %s: %s pumping, %s, %s. Done %s.\n", pass.Well, units.Hours.Text(s, float64(pass.PumpHours)),
		units.Volume.Text(s, float64(pass.VolumeM3)), units.Money(currency, float64(pass.Cost)), momentText(end))
	if text := pass.Why.Text(s); text != "" {
		b.WriteString(table.Paragraph("  Why: ", text+"."))
	}
	b.WriteString(table.Paragraph("  A day later: ", DayLater(pass.WaitCost, currency)+"."))
	if text := pass.Wait.NotSooner(s); text != "" {
		b.WriteString(table.Paragraph("  Not sooner: ", text+"."))
	}
	for _, pause := range pass.Pauses {
		from, to := time.Time(pause.From), time.Time(pause.To)
		b.WriteString(table.Paragraph("  Stands still ", fmt.Sprintf("%s to %s%s.", momentText(from), untilText(from, to), because(pause.Why))))
	}
	for _, text := range cuts {
		b.WriteString(table.Paragraph("  ", text))
	}
	t := table.New(table.Numbers("from", "deg"), table.Numbers("to", "deg"), table.Numbers("timer", "%"),
		table.Numbers("gross", units.Depth.Unit(s)), table.Numbers("net", units.Depth.Unit(s)),
		table.Numbers("takes", units.Hours.Unit(s)), table.Numbers("volume", units.Volume.Unit(s)),
		table.Words("begins"), table.Numbers("a day", "later"), table.Column{Name: "why: depletion/trigger", Unit: units.Depth.Unit(s)})
	t.Indent = 2
	for _, l := range pass.Legs {
		gross, net, volume, later := "dry", "-", "-", "-"
		if l.Water {
			gross = units.Depth.Format(s, float64(l.GrossMM))
			net = units.Depth.Format(s, float64(l.NetMM))
			volume = units.Volume.Format(s, float64(l.VolumeM3))
			later = signed(currency, float64(l.WaitCost))
		}
		t.Row(degText(float64(l.FromDeg)), degText(float64(l.ToDeg)), timerText(float64(l.TimerPct)),
			gross, net, units.Hours.Format(s, float64(l.Hours)), volume, clockText(time.Time(l.Start)), later, l.Why.Under(pass.Pivot).Brief(s))
	}
	b.WriteString(t.String())
}

// cutTexts tell, for the next cut of each field under a pivot, when it gets its
// last water.
func (p *Plan) cutTexts(pivot string) []string {
	lines := []string{}
	told := map[string]bool{}
	for _, m := range p.Mown {
		if m.Pivot == pivot {
			lines = append(lines, fmt.Sprintf("%s was mown %s: neither water nor the machine before %s, while hay lies and is hauled.",
				m.Field, dayText(civil.Date(m.Cut)), momentText(time.Time(m.Until))))
		}
	}
	for _, c := range p.Cuts {
		if c.Pivot != pivot || told[c.Field] {
			continue
		}
		told[c.Field] = true
		last := time.Time(c.LastWater)
		text := fmt.Sprintf("Last water before the cut of %s: none after %s (%s dry)", dayText(civil.Date(c.Date)), momentText(last), count(c.DryDays, "day", "days"))
		if !last.After(time.Time(p.MadeAt)) {
			text = fmt.Sprintf("No water before the cut of %s: dry since %s", dayText(civil.Date(c.Date)), momentText(last))
		} else if end := p.lastWet(pivot, last); !end.IsZero() && !last.After(p.end()) {
			text += "; what is planned ends " + momentText(end)
		}
		lines = append(lines, text+".")
	}
	return lines
}

// end is the end of the last day that the plan looks at.
func (p *Plan) end() time.Time {
	d := civil.Date(p.To).AddDays(1)
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.Time(p.MadeAt).Location())
}

// lastWet is when the last leg with water before a moment ends; zero without one.
func (p *Plan) lastWet(pivot string, before time.Time) time.Time {
	end := time.Time{}
	for i := range p.Passes {
		if p.Passes[i].Pivot != pivot {
			continue
		}
		for k := range p.Passes[i].Legs {
			if l := &p.Passes[i].Legs[k]; l.Water && !time.Time(l.End).After(before) && time.Time(l.End).After(end) {
				end = time.Time(l.End)
			}
		}
	}
	return end
}

// writeNotRun lists the machines that nothing is started with today or
// tomorrow: those that wait for their turn, and those not run at all.
func (p *Plan) writeNotRun(b *strings.Builder, s units.System) {
	t := table.New(table.Words("pivot"), table.Words("before"), table.Words("why"))
	t.Indent = 2
	seen := map[string]bool{}
	names := []string{}
	for i := range p.Passes {
		pass := &p.Passes[i]
		if seen[pass.Pivot] {
			continue
		}
		seen[pass.Pivot] = true // its first pass: they are in order of time
		if p.startsSoon(pass) {
			continue
		}
		why := pass.Wait.NotSooner(s)
		if why == "" {
			why = pass.Why.Text(s)
		}
		t.Row(pass.Pivot, momentText(time.Time(pass.Start)), why+pass.Why.drives(why)+"; a day later still "+DayLater(pass.WaitCost, p.Cost.Currency))
		names = append(names, pass.Pivot)
	}
	for _, m := range p.Idle {
		t.Row(m.Pivot, dayText(civil.Date(p.To))+" or later", m.Text(s, p.Cost.Currency))
		names = append(names, m.Pivot)
	}
	if t.Len() == 0 {
		return
	}
	b.WriteString("\nDO NOT RUN\n" + t.String())
	for _, pivot := range names {
		for _, text := range p.cutTexts(pivot) {
			b.WriteString(table.Paragraph("  "+pivot+": ", text))
		}
	}
}

func (p *Plan) writeZones(b *strings.Builder, s units.System) {
	if len(p.Zones) == 0 {
		return
	}
	fmt.Fprintf(b, "\nTHE GROUND as the day begins (depletion of each zone's driest ground; days until its trigger)\n")
	t := table.New(table.Words("zone"), table.Words("do"), table.Numbers("driest", units.Depth.Unit(s)),
		table.Numbers("trigger", units.Depth.Unit(s)), table.Numbers("days", ""), table.Numbers("table", units.Ground.Unit(s)),
		table.Words("why"))
	t.Indent = 2
	for _, z := range p.Zones {
		depth := units.Ground.Format(s, float64(z.TableM))
		if math.IsInf(float64(z.TableM), 1) {
			depth = "deep"
		}
		t.Row(z.Zone, z.Decision, DepletionText(s, float64(z.DepletionMM)), units.Depth.Format(s, float64(z.TriggerMM)),
			daysText(float64(z.DaysLeftMin), float64(z.DaysLeftMax), p.horizon()), depth, z.Why.Short(s))
	}
	b.WriteString(t.String())
	if slices.ContainsFunc(p.Zones, func(z ZoneDecision) bool { return isWet(s, float64(z.DepletionMM)) }) {
		b.WriteString(table.Paragraph("  ", wetNote))
	}
	lines := []string{}
	for i := range p.Zones {
		z := &p.Zones[i]
		if text := z.lasts().governs(s, p.horizon()); text != "" {
			lines = append(lines, z.Zone+": "+text)
		}
	}
	writeGoverns(b, lines)
}

// leastBehindMM is how far past its trigger ground must get to be told of: less
// can be seen by no probe. JSON has it all.
const leastBehindMM = 1

func (p *Plan) writeBehind(b *strings.Builder, s units.System) {
	behind := filter(p.Behind, func(x Behind) bool { return x.WorstMM >= leastBehindMM })
	if len(behind) == 0 {
		return
	}
	b.WriteString("\nFALLS BEHIND: ground that passes its trigger before water reaches it (worst by: its driest ground;\nET missed: mean of the zone to the plan's end)\n")
	t := table.New(table.Words("zone"), table.Words("pivot"), table.Words("past trigger from"),
		table.Numbers("area", units.Area.Unit(s)), table.Numbers("worst by", units.Depth.Unit(s)), table.Numbers("ET missed", units.Depth.Unit(s)))
	t.Indent = 2
	for _, x := range behind {
		t.Row(x.Zone, x.Pivot, momentText(time.Time(x.From)), units.Area.Format(s, float64(x.AreaM2)),
			units.Depth.Format(s, float64(x.WorstMM)), units.Depth.Format(s, float64(x.MissedMM)))
	}
	b.WriteString(t.String())
}

func (p *Plan) writeCost(b *strings.Builder) {
	text := []string{}
	for _, term := range p.Cost.Terms() {
		if term.Value != 0 {
			text = append(text, term.Name+" "+units.Money(p.Cost.Currency, float64(term.Value)))
		}
	}
	line := fmt.Sprintf("%s to %s", units.Money(p.Cost.Currency, float64(p.Cost.Total)), dayText(civil.Date(p.To)))
	if len(text) > 0 {
		line += ": " + strings.Join(text, ", ")
	}
	b.WriteByte('\n')
	b.WriteString(table.Paragraph("COST ", line+"."))
	if e := p.Expected; e != nil && len(e.Scenarios) > 1 {
		low, high := e.Scenarios[0].Cost, e.Scenarios[0].Cost
		for _, s := range e.Scenarios {
			low, high = min(low, s.Cost), max(high, s.Cost)
		}
		money := func(n Number) string { return units.Money(p.Cost.Currency, float64(n)) }
		b.WriteString(table.Paragraph("     ", fmt.Sprintf("In the weather of %d earlier years, with what comes after tomorrow decided as it goes: %s on average, %s to %s.", e.Years, money(e.Cost), money(low), money(high))))
	}
}

// restsText is what the plan leans on, with one line for all crops.
func (p *Plan) restsText(s units.System) []string {
	lines := Texts(p.Rests, s)
	crops, values := []string{}, 0
	for _, a := range p.Assumed {
		crops = append(crops, a.Crop)
		values += len(a.Values)
	}
	if values > 0 {
		lines = append(lines, fmt.Sprintf("%s of the crops (%s) have no published source; --json lists them, [[crops]] in farm.toml changes them",
			count(values, "assumption", "assumptions"), strings.Join(crops, ", ")))
	}
	return lines
}

// mostLines is how many lines of a list are printed: a station with a dead
// gauge has hundreds, and JSON has them all.
const mostLines = 12

func writeList(b *strings.Builder, head string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", head)
	for i, line := range lines {
		if i == mostLines {
			fmt.Fprintf(b, "  (and %d more; --json has all)\n", len(lines)-i)
			return
		}
		b.WriteString(table.Paragraph("  - ", line))
	}
}
