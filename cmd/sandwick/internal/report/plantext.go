// The run plan for people: the decision first, the numbers behind it second.

package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// WriteText prints the plan for reading at the counter or in the cab.
func (p *Plan) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	made := time.Time(p.MadeAt)
	fmt.Fprintf(&b, "%s: run plan of %s, %s\n", p.Farm, dayYearText(civil.DateOf(made)), made.Format("15:04"))
	b.WriteString(table.Paragraph("", p.weatherText()))
	p.writePasses(&b, s)
	p.writeNotRun(&b, s)
	p.writeZones(&b, s)
	p.writeBehind(&b, s)
	p.writeCost(&b)
	writeList(&b, "What this rests on", p.Rests)
	writeList(&b, "Take note", p.Warnings)
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
	later := []Pass{}
	for i := range p.Passes {
		pass := &p.Passes[i]
		if p.startsSoon(pass) {
			writePass(b, pass, p.Cost.Currency, s)
		} else {
			later = append(later, *pass)
		}
	}
	if len(later) == len(p.Passes) {
		b.WriteString("\nSTART NOTHING today or tomorrow.\n")
	}
	if len(later) == 0 {
		return
	}
	b.WriteString("\nLater, to be looked at again each day:\n")
	t := table.New(table.Words("begins"), table.Words("pivot"), table.Numbers("from", "deg"), table.Numbers("to", "deg"),
		table.Words("turns"), table.Numbers("pumps", units.Hours.Unit(s)), table.Numbers("volume", units.Volume.Unit(s)), table.Words("why"))
	t.Indent = 2
	for _, pass := range later {
		t.Row(momentText(time.Time(pass.Start)), pass.Pivot, degText(float64(pass.StartDeg)), degText(float64(pass.StopDeg)),
			pass.Direction, units.Hours.Format(s, float64(pass.PumpHours)), units.Volume.Format(s, float64(pass.VolumeM3)), pass.Why.Text(s))
	}
	b.WriteString(t.String())
}

func writePass(b *strings.Builder, pass *Pass, currency string, s units.System) {
	start, end := time.Time(pass.Start), time.Time(pass.End)
	turn := "clockwise"
	if pass.Direction == "ccw" {
		turn = "counter-clockwise"
	}
	fmt.Fprintf(b, "\nSTART %s, %s, %s from %s to %s degrees\n", pass.Pivot, momentText(start), turn,
		degText(float64(pass.StartDeg)), degText(float64(pass.StopDeg)))
	fmt.Fprintf(b, "  %s: %s pumping, %s, %s. Done %s.\n", pass.Well, units.Hours.Text(s, float64(pass.PumpHours)),
		units.Volume.Text(s, float64(pass.VolumeM3)), units.Money(currency, float64(pass.Cost)), momentText(end))
	if text := pass.Wait.Text(s); text != "" {
		b.WriteString(table.Paragraph("  Not sooner: ", text+"."))
	}
	for _, pause := range pass.Pauses {
		from, to := time.Time(pause.From), time.Time(pause.To)
		b.WriteString(table.Paragraph("  Stands still ", fmt.Sprintf("%s to %s%s.", momentText(from), untilText(from, to), because(pause.Why))))
	}
	t := table.New(table.Numbers("from", "deg"), table.Numbers("to", "deg"), table.Numbers("timer", "%"),
		table.Numbers("gross", units.Depth.Unit(s)), table.Numbers("net", units.Depth.Unit(s)),
		table.Numbers("takes", units.Hours.Unit(s)), table.Numbers("volume", units.Volume.Unit(s)),
		table.Words("begins"), table.Words("why"))
	t.Indent = 2
	for _, l := range pass.Legs {
		gross, net, volume := "dry", "-", "-"
		if l.Water {
			gross = units.Depth.Format(s, float64(l.GrossMM))
			net = units.Depth.Format(s, float64(l.NetMM))
			volume = units.Volume.Format(s, float64(l.VolumeM3))
		}
		t.Row(degText(float64(l.FromDeg)), degText(float64(l.ToDeg)), units.Percent.Format(s, float64(l.TimerPct)),
			gross, net, units.Hours.Format(s, float64(l.Hours)), volume, clockText(time.Time(l.Start)), l.Why.Text(s))
	}
	b.WriteString(t.String())
}

func (p *Plan) writeNotRun(b *strings.Builder, s units.System) {
	if len(p.Idle) == 0 {
		return
	}
	b.WriteString("\nNOT RUN\n")
	t := table.New(table.Words("pivot"), table.Words("why"))
	t.Indent = 2
	for _, m := range p.Idle {
		t.Row(m.Pivot, m.Why.Text(s))
	}
	b.WriteString(t.String())
}

// decisionWords are the decisions as they stand in the table.
var decisionWords = map[string]string{
	string(runplan.Water): "water",
	string(runplan.Wait):  "wait",
	string(runplan.Skip):  "leave",
}

func (p *Plan) writeZones(b *strings.Builder, s units.System) {
	if len(p.Zones) == 0 {
		return
	}
	fmt.Fprintf(b, "\nTHE GROUND this morning (gone: water missing below full; days: until the first ground is due)\n")
	t := table.New(table.Words("zone"), table.Words("field"), table.Words("do"), table.Numbers("gone", units.Depth.Unit(s)),
		table.Numbers("trigger", units.Depth.Unit(s)), table.Numbers("days", ""), table.Numbers("table", units.Ground.Unit(s)),
		table.Words("why"))
	t.Indent = 2
	for _, z := range p.Zones {
		do := decisionWords[z.Decision]
		if do == "" {
			do = z.Decision
		}
		depth := units.Ground.Format(s, float64(z.TableM))
		if math.IsInf(float64(z.TableM), 1) {
			depth = "deep"
		}
		t.Row(z.Zone, z.Field, do, units.Depth.Format(s, float64(z.DepletionMM)), units.Depth.Format(s, float64(z.TriggerMM)),
			daysText(float64(z.DaysLeftMin), float64(z.DaysLeftMax), p.horizon()), depth, z.Why.Short(s))
	}
	b.WriteString(t.String())
}

func (p *Plan) writeBehind(b *strings.Builder, s units.System) {
	if len(p.Behind) == 0 {
		return
	}
	b.WriteString("\nFALLS BEHIND: the machines cannot reach all of it in time\n")
	t := table.New(table.Words("zone"), table.Words("field"), table.Words("pivot"), table.Words("from"),
		table.Numbers("area", units.Area.Unit(s)), table.Numbers("past trigger", units.Depth.Unit(s)), table.Numbers("stress", "days"))
	t.Indent = 2
	for _, x := range p.Behind {
		t.Row(x.Zone, x.Field, x.Pivot, momentText(time.Time(x.From)), units.Area.Format(s, float64(x.AreaM2)),
			units.Depth.Format(s, float64(x.WorstMM)), fmt.Sprint(x.StressDays))
	}
	b.WriteString(t.String())
}

func (p *Plan) writeCost(b *strings.Builder) {
	terms := []struct {
		name  string
		value Number
	}{
		{"pumping", p.Cost.Pumping}, {"starts", p.Cost.Labour}, {"crop lost to stress", p.Cost.Stress},
		{"late ground", p.Cost.Late}, {"nitrogen leached", p.Cost.Percolation}, {"water still owed at the end", p.Cost.Carry},
	}
	text := []string{}
	for _, term := range terms {
		if term.value != 0 {
			text = append(text, term.name+" "+units.Money(p.Cost.Currency, float64(term.value)))
		}
	}
	line := fmt.Sprintf("%s to %s", units.Money(p.Cost.Currency, float64(p.Cost.Total)), dayText(civil.Date(p.To)))
	if len(text) > 0 {
		line += ": " + strings.Join(text, ", ")
	}
	b.WriteByte('\n')
	b.WriteString(table.Paragraph("COST ", line+"."))
}

func writeList(b *strings.Builder, head string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", head)
	for _, line := range lines {
		b.WriteString(table.Paragraph("  - ", line))
	}
}
