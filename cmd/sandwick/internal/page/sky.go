// Rain, reference ET and temperature of the last weeks and the days ahead, and
// the chance that it stays dry.

package page

import (
	"fmt"
	"html/template"
	"math"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
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
func (v *view) outlook(o *Outlook) template.HTML {
	const h, top, bottom = 132.0, 14.0, 104.0
	var d drawing
	d.begin("plot outlook", v.outlookWords(o), 0, 0, plotW, h)
	y := func(p float64) float64 { return bottom - (bottom-top)*p }
	for _, p := range []float64{0, 0.5, 1} {
		d.el("path", "class", "grid", "d", fmt.Sprintf("M%s %sH%s", num(plotL), num(y(p)), num(plotR)))
		d.text(plotL-4, y(p)+4, "sc r", units.Number(100*p, 0))
	}
	w := (plotR - plotL) / float64(max(1, len(o.Steps)))
	for i, s := range o.Steps {
		x := plotL + w*float64(i)
		d.text(x+w/2, bottom+14, "sc m", fmt.Sprint(s.Days))
		if math.IsNaN(s.P) {
			continue
		}
		d.el("rect", "class", "et", "x", x+0.2*w, "y", y(s.P), "width", 0.6*w, "height", bottom-y(s.P))
		d.el("path", "class", "whisker", "d", fmt.Sprintf("M%s %sV%s", num(x+w/2), num(y(s.Low)), num(y(s.High))))
	}
	d.text((plotL+plotR)/2, bottom+27, "sc m", "more days without useful rain")
	return d.end()
}

func (v *view) outlookWords(o *Outlook) string {
	words := "Chance that it stays dry"
	for _, s := range o.Steps {
		if !math.IsNaN(s.P) && (s.Days == 1 || s.Days%5 == 0) {
			words += fmt.Sprintf("; %d more days: %.0f %%", s.Days, 100*s.P)
		}
	}
	return words
}

// outlookText says the same in a sentence or two.
func (v *view) outlookText(o *Outlook) string {
	since := fmt.Sprintf("%d days", o.DryDays)
	if o.DryDays == 1 {
		since = "1 day"
	}
	if o.AtLeast {
		since = "at least " + since
	}
	text := fmt.Sprintf("Dry for %s (a day with less than %s counts as dry).", since, units.Depth.Text(v.s, o.UsefulMM))
	for _, s := range o.Steps {
		if s.Days != 5 && s.Days != 10 || math.IsNaN(s.P) {
			continue
		}
		if s.Cases > 0 {
			text += fmt.Sprintf(" %d more dry days: %d of %d such spells, %.0f %% (range %.0f to %.0f).", s.Days, s.Held, s.Cases, 100*s.P, 100*s.Low, 100*s.High)
		} else {
			text += fmt.Sprintf(" %d more dry days: %.0f %%, by the chain of wet and dry days.", s.Days, 100*s.P)
		}
	}
	return text + fmt.Sprintf(" From %d earlier years.", o.Years)
}
