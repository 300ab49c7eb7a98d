// Rain, reference ET and temperature of the last weeks and the days ahead, and
// the chance that it stays dry.

package page

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// weather draws the days: rain falls from the top, ET rises from the bottom,
// temperatures run between.
func (v *view) weather(days []WeatherDay) template.HTML {
	if len(days) == 0 {
		return ""
	}
	const h = 196.0
	const rainY, etY = 12.0, 168.0
	const tempTop, tempEnd = 62.0, 112.0
	axis := daysAxis{days[0].Date, len(days)}
	wettest, hungriest := 25.0, 6.0
	hot, cold := math.Inf(-1), math.Inf(1)
	for i := range days {
		wettest = max(wettest, finite(days[i].RainMM))
		hungriest = max(hungriest, finite(days[i].EToMM))
		if !math.IsNaN(days[i].TmaxC) {
			hot, cold = max(hot, days[i].TmaxC), min(cold, days[i].TminC)
		}
	}
	w := (plotR - plotL) / float64(axis.n)
	var d drawing
	d.begin("plot weather", v.weatherWords(days), 0, 0, plotW, h)
	for i := range days {
		if days[i].Ahead {
			x := axis.x(float64(i))
			d.el("rect", "class", "ahead", "x", x, "y", rainY-6, "width", plotR-x, "height", etY-rainY+6)
			if i > 0 {
				d.el("path", "class", "now", "d", fmt.Sprintf("M%s %sV%s", num(x), num(rainY-6), num(etY)))
			}
			break
		}
	}
	for i := range days {
		day := &days[i]
		x := axis.x(float64(i))
		if day.RainMM >= 0.2 {
			d.el("rect", "class", "rain", "x", x+0.12*w, "y", rainY, "width", 0.76*w, "height", 44*day.RainMM/wettest)
		}
		if day.EToMM > 0 {
			y := 44 * day.EToMM / hungriest
			d.el("rect", "class", "et", "x", x+0.12*w, "y", etY-y, "width", 0.76*w, "height", y)
		}
		if !math.IsNaN(day.TmaxC) && hot > cold {
			at := func(c float64) float64 { return tempEnd - (tempEnd-tempTop)*(c-cold)/(hot-cold) }
			d.el("path", "class", "temp", "d", fmt.Sprintf("M%s %sV%s", num(x+w/2), num(at(day.TmaxC)), num(at(day.TminC))))
		}
	}
	d.el("path", "class", "surface", "d", fmt.Sprintf("M%s %sH%sM%s %sH%s", num(plotL), num(rainY), num(plotR), num(plotL), num(etY), num(plotR)))
	one := units.Depth.Value(v.s, 1)
	top := niceBelow(wettest * one)
	d.text(plotL-4, rainY+44*top/one/wettest+4, "sc r", trimZeros(top))
	d.text(plotL-4, rainY+4, "sc r", "0")
	most := niceBelow(hungriest * one)
	d.text(plotL-4, etY-44*most/one/hungriest+4, "sc r", trimZeros(most))
	d.text(plotL-4, etY+4, "sc r", "0")
	if hot > cold {
		d.text(plotL-4, tempTop+5, "sc r", units.Number(units.Temperature.Value(v.s, hot), 0))
		d.text(plotL-4, tempEnd+4, "sc r", units.Number(units.Temperature.Value(v.s, cold), 0))
	}
	v.months(&d, axis, etY+16)
	return d.end()
}

func (v *view) weatherWords(days []WeatherDay) string {
	rain, eto, n := 0.0, 0.0, 0
	for i := range days {
		if !days[i].Ahead {
			rain, eto, n = rain+finite(days[i].RainMM), eto+finite(days[i].EToMM), n+1
		}
	}
	return fmt.Sprintf("Weather from %s to %s: in the last %d days rain %s and reference ET %s", report.DayText(days[0].Date),
		report.DayText(days[len(days)-1].Date), n, units.Depth.Text(v.s, rain), units.Depth.Text(v.s, eto))
}

// outlook draws the chance that so many more days stay dry, with its range.
func (v *view) outlook(o *report.Outlook) template.HTML {
	const h, top, bottom = 132.0, 14.0, 104.0
	var d drawing
	words := "Chance that it stays dry"
	for _, c := range o.Chances {
		if !math.IsNaN(float64(c.ChancePct)) {
			words += fmt.Sprintf("; %d more days: %.0f %%", c.MoreDays, float64(c.ChancePct))
		}
	}
	d.begin("plot outlook", words, 0, 0, plotW, h)
	y := func(pct report.Number) float64 { return bottom - (bottom-top)*finite(float64(pct))/100 }
	for _, p := range []report.Number{0, 50, 100} {
		d.el("path", "class", "grid", "d", fmt.Sprintf("M%s %sH%s", num(plotL), num(y(p)), num(plotR)))
		d.text(plotL-4, y(p)+4, "sc r", units.Number(float64(p), 0))
	}
	w := (plotR - plotL) / float64(max(1, len(o.Chances)))
	for i, c := range o.Chances {
		x := plotL + w*float64(i)
		d.text(x+w/2, bottom+14, "sc m", fmt.Sprint(c.MoreDays))
		if math.IsNaN(float64(c.ChancePct)) {
			continue
		}
		d.el("rect", "class", "et", "x", x+0.2*w, "y", y(c.ChancePct), "width", 0.6*w, "height", bottom-y(c.ChancePct))
		d.el("path", "class", "whisker", "d", fmt.Sprintf("M%s %sV%s", num(x+w/2), num(y(c.LowPct)), num(y(c.HighPct))))
	}
	d.text((plotL+plotR)/2, bottom+27, "sc m", "more days without useful rain")
	return d.end()
}

// drySpell is the outlook as the template wants it.
type drySpell struct {
	Spell, Years string
	Chances      template.HTML
	Pumps        []pumpRow
	To           string
	Zones        []dryRow
	More         int // zones left out: the last to dry
}

// mostDry is how many zones the outlook names: so many hold on a sheet of paper
// with the rest of the books.
const mostDry = 14

type pumpRow struct{ Well, Needs, Gives, Text string }

type dryRow struct{ Zone, Due, Stress string }

func (v *view) drySpell(o *report.Outlook) *drySpell {
	s := &drySpell{Spell: "The spell " + o.DryText(v.s) + ".", To: report.DayText(civil.Date(o.To))}
	if slices.ContainsFunc(o.Chances, func(c report.StayDry) bool { return !math.IsNaN(float64(c.ChancePct)) }) {
		s.Chances = v.outlook(o)
	} else {
		s.Spell += " There is no record of earlier years: how long it may last is not known."
	}
	s.Years = "no rain at all"
	if !o.NoRain {
		s.Years = o.YearsText()
	}
	for i := range o.Pumps {
		w := &o.Pumps[i]
		s.Pumps = append(s.Pumps, pumpRow{w.Well, units.Depth.Format(v.s, float64(w.NeedMM)), units.Depth.Format(v.s, float64(w.CapacityMM)), report.Sentence(w.Text(v.s))})
	}
	// The driest of each zone's two days tells its place in the list.
	zones := slices.Clone(o.Zones)
	first := func(x report.Spread) civil.Date {
		switch {
		case x.Already:
			return civil.Date(o.From).AddDays(-1)
		case x.Likely == (report.Day{}):
			return civil.Date(o.To).AddDays(1)
		}
		return civil.Date(x.Likely)
	}
	slices.SortStableFunc(zones, func(a, b report.ZoneDryout) int {
		return cmp.Or(first(a.Stress).DaysSince(first(b.Stress)), first(a.Due).DaysSince(first(b.Due)))
	})
	for i := range zones {
		z := &zones[i]
		if i == mostDry && len(zones) > mostDry+1 {
			s.More = len(zones) - mostDry
			break
		}
		s.Zones = append(s.Zones, dryRow{z.Zone, spreadText(z.Due), spreadText(z.Stress)})
	}
	return s
}

// spreadText is "now", "Sun 20 Jul", or "26 Jul to 4 Aug" from early to late.
func spreadText(x report.Spread) string {
	day := func(d report.Day, layout string) string {
		if d == (report.Day{}) {
			return "later"
		}
		return civil.Date(d).In(time.UTC).Format(layout)
	}
	switch {
	case x.Already:
		return "now"
	case x.Early == x.Late || x.Early == (report.Day{}):
		return day(x.Likely, "Mon 2 Jan")
	}
	return day(x.Early, "2 Jan") + " to " + day(x.Late, "2 Jan")
}
