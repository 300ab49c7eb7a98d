// The dry-spell outlook for people: whether the pumps hold, first.

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
	"sandwick/et/spells"

	"github.com/golang-sql/civil"
)

// WriteText prints the outlook.
func (o *Outlook) WriteText(w io.Writer, s units.System) error {
	var b strings.Builder
	made := time.Time(o.MadeAt)
	fmt.Fprintf(&b, "%s: dry-spell outlook of %s, %s\n", o.Farm, dayYearText(civil.Date(o.From)), made.Format("15:04"))
	b.WriteString(table.Paragraph("", o.weatherText()))
	o.writePumps(&b, s)
	o.writeGiveUp(&b, s)
	o.writeZones(&b)
	o.writeSpell(&b, s)
	writeList(&b, "What this rests on", append(o.restsText(s), Texts(o.Rests, s)...))
	writeList(&b, "Take note", Texts(o.Warnings, s))
	writeList(&b, "Cautions", o.Cautions)
	_, err := io.WriteString(w, b.String())
	return err
}

func (o *Outlook) weatherText() string {
	text := "Looks ahead to " + dayText(civil.Date(o.To)) + "."
	if d := civil.Date(o.Weather.Through); d != (civil.Date{}) {
		text += " Weather measured to " + dayText(d) + "."
	}
	if d := civil.Date(o.Weather.Forecast); d != (civil.Date{}) {
		text += " Forecast to " + dayText(d) + "."
	}
	if o.Weather.Beyond != "" {
		text += " " + sentence(o.Weather.Beyond)
	}
	return text
}

// yearsText is "15 earlier years, 2010 to 2024".
func (o *Outlook) yearsText() string {
	n := len(o.Years.Scenarios)
	if n == 1 {
		return fmt.Sprintf("1 earlier year, %d", o.Years.Scenarios[0])
	}
	return fmt.Sprintf("%d earlier years, %d to %d", n, o.Years.Scenarios[0], o.Years.Scenarios[n-1])
}

func (o *Outlook) writePumps(b *strings.Builder, s units.System) {
	if len(o.Pumps) == 0 {
		return
	}
	short, late := 0, 0
	for i := range o.Pumps {
		switch o.Pumps[i].Verdict {
		case fallsBehind:
			short++
		case catchesUp:
			late++
		}
	}
	pumps, keep := "PUMPS", "KEEP"
	if len(o.Pumps) == 1 {
		pumps, keep = "PUMP", "KEEPS"
	}
	dry := "if no rain falls to " + dayText(civil.Date(o.To))
	switch {
	case short == 0 && late == 0:
		fmt.Fprintf(b, "\nTHE %s %s UP %s\n", pumps, keep, dry)
	case short == 0:
		fmt.Fprintf(b, "\nTHE %s %s UP, LATE AT TIMES, %s\n", pumps, keep, dry)
	case short == len(o.Pumps):
		fmt.Fprintf(b, "\nTHE %s CANNOT KEEP UP %s\n", pumps, dry)
	default:
		fmt.Fprintf(b, "\n%d OF %d WELLS CANNOT KEEP UP %s\n", short, len(o.Pumps), dry)
	}
	perDay := units.Depth.Unit(s) + "/d"
	t := table.New(table.Words("well"), table.Numbers("needs", perDay), table.Numbers("can give", perDay),
		table.Numbers("may run", "h/d"), table.Words("what happens"))
	t.Indent = 2
	for i := range o.Pumps {
		w := &o.Pumps[i]
		t.Row(w.Well, units.Depth.Format(s, float64(w.NeedMM)), units.Depth.Format(s, float64(w.CapacityMM)),
			units.Hours.Format(s, float64(w.Hours)), w.text(s))
	}
	b.WriteString(t.String())
}

// mostNamed is how many zones a sentence names.
const mostNamed = 3

// text says what happens on the ground of a well.
func (w *PumpOutlook) text(s units.System) string {
	if w.Verdict == keepsUp {
		return "keeps up" + w.seasonText()
	}
	parts := []string{}
	stress := civil.Date{}
	for _, g := range w.Behind { // the first behind comes first
		if len(parts) < mostNamed {
			parts = append(parts, fmt.Sprintf("%s from %s", g.Zone, dayText(civil.Date(g.From))))
		}
		if d := civil.Date(g.Stress); d != (civil.Date{}) && (stress == (civil.Date{}) || d.Before(stress)) {
			stress = d
		}
	}
	text := strings.Join(parts, ", ")
	if n := len(w.Behind) - len(parts); n > 0 {
		text += fmt.Sprintf(" and %s", count(n, "zone more", "zones more"))
	}
	if w.Verdict == catchesUp {
		text = "late at times: " + text
	} else {
		text = "falls behind: " + text
	}
	if stress != (civil.Date{}) {
		text += "; short of water from " + dayText(stress)
	}
	if w.CaughtUp != (Day{}) {
		text += "; caught up by " + dayText(civil.Date(w.CaughtUp))
	}
	return text + w.seasonText()
}

func (w *PumpOutlook) seasonText() string {
	if w.SeasonOut == (Day{}) {
		return ""
	}
	return "; the season's water is used up " + dayText(civil.Date(w.SeasonOut))
}

func (o *Outlook) writeGiveUp(b *strings.Builder, s units.System) {
	for i := range o.Pumps {
		w := &o.Pumps[i]
		if len(w.GiveUp) == 0 {
			continue
		}
		end := "so that the rest keeps up"
		if !w.Enough {
			end = "and even that is not enough"
		}
		fmt.Fprintf(b, "\nGIVE UP FIRST on %s, in this order, %s\n", w.Well, end)
		known := !slices.ContainsFunc(w.GiveUp, func(g GiveUp) bool { return !g.Value.finite() })
		columns := []table.Column{table.Words("zone"), table.Words("pivot"), table.Numbers("saves", units.Supply.Unit(s)),
			table.Numbers("crop goes without", units.Depth.Unit(s))}
		if known {
			columns = append(columns, table.Numbers("crop lost", ""), table.Numbers("crop lost", "per "+units.Supply.Unit(s)))
		}
		t := table.New(columns...)
		t.Indent = 2
		for _, g := range w.GiveUp {
			row := []string{g.Zone, g.Pivot, units.Supply.Format(s, float64(g.WaterM3)), units.Depth.Format(s, float64(g.UnmetMM))}
			if known {
				per := float64(g.PerM3) / units.Supply.Value(s, 1)
				row = append(row, units.Money(o.Currency, float64(g.Value)), perText(o.Currency, per))
			}
			t.Row(row...)
		}
		b.WriteString(t.String())
		if !known {
			b.WriteString(table.Paragraph("  ", "In order of the crop's water lost for the water saved: the value of a crop, or how its yield answers to stress (Ky), is not known."))
		}
	}
}

// perText is a price, with cents where it is small.
func perText(currency string, v float64) string {
	if math.Abs(v) >= 20 || math.IsNaN(v) {
		return units.Money(currency, v)
	}
	whole := units.Money(currency, math.Trunc(v))
	return whole + strings.TrimPrefix(units.Number(v-math.Trunc(v), 2), "0")
}

func (o *Outlook) writeZones(b *strings.Builder) {
	if len(o.Zones) == 0 {
		return
	}
	zones := slices.Clone(o.Zones)
	slices.SortStableFunc(zones, func(x, y ZoneDryout) int {
		return cmp.Or(cmp.Compare(x.order[0], y.order[0]), cmp.Compare(x.order[1], y.order[1]))
	})
	day := func(d Day, already bool) string {
		switch {
		case already:
			return "now"
		case d == (Day{}):
			return "later"
		}
		return dayText(civil.Date(d))
	}
	if o.NoRain {
		fmt.Fprintf(b, "\nTHE GROUND if nothing is run and no rain falls (later: after %s)\n", dayText(civil.Date(o.To)))
		t := table.New(table.Words("zone"), table.Words("due"), table.Words("stress begins"))
		t.Indent = 2
		for _, z := range zones {
			t.Row(z.Zone, day(z.Due.Likely, z.Due.Already), day(z.Stress.Likely, z.Stress.Already))
		}
		b.WriteString(t.String())
		return
	}
	fmt.Fprintf(b, "\nTHE GROUND if nothing is run, over %s (later: after %s)\n", o.yearsText(), dayText(civil.Date(o.To)))
	second := func(name, unit string) table.Column { return table.Column{Name: name, Unit: unit} }
	t := table.New(table.Words("zone"), second("due", "early"), second("", "likely"), second("", "late"),
		second("stress begins", "early"), second("", "likely"), second("", "late"), second("stress", "in"))
	t.Indent = 2
	for _, z := range zones {
		// What is so now is so in every scenario.
		t.Row(z.Zone, day(z.Due.Early, z.Due.Already), day(z.Due.Likely, z.Due.Already), day(z.Due.Late, z.Due.Already),
			day(z.Stress.Early, z.Stress.Already), day(z.Stress.Likely, z.Stress.Already), day(z.Stress.Late, z.Stress.Already),
			percentText(float64(z.Stress.WithinPct)))
	}
	b.WriteString(t.String())
	b.WriteString(table.Paragraph("  ", "Early: in one year of ten it is sooner; late: in one of ten later. Stress in: share of the years."))
}

func percentText(pct float64) string { return strings.ReplaceAll(units.Number(pct, 0)+"%", "-%", "-") }

// chanceText is a chance that is never called none.
func chanceText(pct Number) string {
	if pct > 0 && pct < 0.5 {
		return "<1%"
	}
	return percentText(float64(pct))
}

func (o *Outlook) writeSpell(b *strings.Builder, s units.System) {
	b.WriteString("\nTHE SPELL ")
	b.WriteString(o.dryText(s))
	b.WriteByte('\n')
	if o.Years.First == (Day{}) {
		b.WriteString(table.Paragraph("  ", "There is no record of earlier years: how long it may last is not known."))
		return
	}
	t := table.New(table.Words("dry for"), table.Words("to"), table.Numbers("chance", ""), table.Words("range"), table.Words("from"))
	t.Indent = 2
	for _, c := range o.Chances {
		rng := "-"
		if c.LowPct.finite() {
			rng = fmt.Sprintf("%.0f to %s", float64(c.LowPct), chanceText(c.HighPct))
		}
		t.Row(count(c.MoreDays, "day more", "days more"), dayText(civil.Date(c.To)), chanceText(c.ChancePct), rng, c.from())
	}
	b.WriteString(t.String())
	note := "By earlier years alone: the forecast is not in it. Range: holds the true chance in nine cases of ten."
	for _, c := range o.Chances {
		if c.Method == "chain" {
			note += fmt.Sprintf(" Chain: only %s on record had lasted as long at this time of the year, fewer than %d, so the chances are those of dry days after dry days, however long it has been dry.",
				count(c.Spells, "spell", "spells"), spells.LeastCases)
			break
		}
	}
	b.WriteString(table.Paragraph("  ", note))
	if text := o.longestText(); text != "" {
		b.WriteString(table.Paragraph("  ", text))
	}
}

// from is what a chance rests on.
func (c *StayDry) from() string {
	years := count(c.Years, "year", "years")
	switch c.Method {
	case "counted":
		return fmt.Sprintf("%d of %s that had lasted as long, in %s", c.Held, count(c.Spells, "spell", "spells"), years)
	case "chain":
		return fmt.Sprintf("a chain of %s in %s", count(c.DryDays+c.WetDays, "day", "days"), years)
	}
	return "too few days known, in " + years
}

// dryText is how long it has been dry, and what counts as rain.
func (o *Outlook) dryText(s units.System) string {
	least := units.Depth.Text(s, float64(o.Rain.MM))
	if o.Rain.EToPct.finite() {
		least += fmt.Sprintf(" and %.0f%% of the day's ETo", float64(o.Rain.EToPct))
	}
	rule := "no rain of " + least + " or more in a day"
	d := &o.DryNow
	through := civil.Date(d.Through)
	switch {
	case through == (civil.Date{}):
		return "is not known: the record has no rain"
	case d.Days == 0:
		return fmt.Sprintf("has not begun: rain of %s or more on %s", least, dayText(through))
	case d.AtLeast:
		return fmt.Sprintf("so far: %s for at least %s, to %s", rule, count(d.Days, "day", "days"), dayText(through))
	}
	return fmt.Sprintf("so far: %s for %s, since %s", rule, count(d.Days, "day", "days"), dayText(through.AddDays(1-d.Days)))
}

func (o *Outlook) longestText() string {
	parts := []string{}
	rough := false
	for _, r := range o.Longest.Returns {
		if !r.Days.finite() {
			continue
		}
		parts = append(parts, fmt.Sprintf("%s in one year of %.0f", count(int(math.Round(float64(r.Days))), "day", "days"), float64(r.Years)))
		rough = rough || r.Method != "ranked"
	}
	if len(parts) == 0 {
		return ""
	}
	text := fmt.Sprintf("Longest dry spell between now and %s: %s", dayText(civil.Date(o.Longest.To)), strings.Join(parts, ", "))
	if rough {
		text += "; the last of these reach beyond the record and are rough"
	}
	return text + "."
}

// restsText says how the outlook was made.
func (o *Outlook) restsText(s units.System) []string {
	lines := []string{}
	if len(o.Pumps) > 0 {
		lines = append(lines, "the pumps: at best. Ground due first is watered first; walking dry, the way round the circle and starts are not counted, so a real plan may fall behind sooner; `sandwick plan` makes one")
	}
	if o.Years.First != (Day{}) {
		lines = append(lines, fmt.Sprintf("earlier years: %v to %v; for each day those within %d days of the same calendar day", civil.Date(o.Years.First), civil.Date(o.Years.Last), o.Rain.WindowDays))
	}
	if n := o.Years.FilledDays; n > 0 {
		lines = append(lines, fmt.Sprintf("%s of the years without measured temperature take the mean of the other years", count(n, "day", "days")))
	}
	out := []string{}
	for _, y := range o.Years.LeftOut {
		out = append(out, fmt.Sprintf("%d (%s)", y.Year, count(y.Unknown, "day", "days")))
	}
	if len(out) > 0 {
		lines = append(lines, "years left out, as the rain of some of their days is not known: "+strings.Join(out, ", "))
	}
	other := []string{}
	for _, f := range o.Fields {
		if f.Days != o.DryNow.Days && f.Through != (Day{}) {
			other = append(other, fmt.Sprintf("%s %s", f.Field, count(f.Days, "day", "days")))
		}
	}
	if len(other) > 0 {
		lines = append(lines, "dry by the fields' own gauges: "+strings.Join(other, ", ")+"; the chances go by the station, as the earlier years do")
	}
	return lines
}
