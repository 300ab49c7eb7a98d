// Soil water of one zone through the season and the days ahead, drawn as a cut
// through the ground: rain and irrigation stand on its surface, the depletion
// hangs below it, and the trigger is the depth it should not reach.

package page

import (
	"fmt"
	"html/template"
	"math"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// The plot's frame, in its own units: about CSS pixels on a phone.
const (
	plotW, plotH     = 340.0, 138.0
	plotL, plotR     = 34.0, 336.0
	surfaceY, floorY = 46.0, 120.0
	skyY             = 8.0
)

// span of a plot in days
type daysAxis struct {
	first civil.Date
	n     int
}

func (a daysAxis) x(day float64) float64 { return plotL + (plotR-plotL)*day/float64(max(1, a.n)) }

// soil draws one zone.
func (v *view) soil(z *Zone) template.HTML {
	if len(z.Days) == 0 {
		return ""
	}
	axis := daysAxis{z.Days[0].Date, len(z.Days)}
	deepest, tallest := 0.0, 0.0
	for i := range z.Days {
		d := &z.Days[i]
		deepest = max(deepest, finite(d.DriestMM), finite(d.DepletionMM), finite(d.TriggerMM), finite(d.HighMM))
		tallest = max(tallest, finite(d.RainMM), finite(d.IrrigationMM))
	}
	deepest, tallest = max(deepest*1.06, 1), max(tallest, 25)
	down := func(mm float64) float64 { return surfaceY + (floorY-surfaceY)*finite(mm)/deepest }
	up := func(mm float64) float64 { return surfaceY - (surfaceY-skyY)*finite(mm)/tallest }

	var d drawing
	d.begin("plot soil", v.soilWords(z), 0, 0, plotW, plotH)
	v.months(&d, axis, floorY+16)
	if z.Ahead < axis.n {
		d.el("rect", "class", "ahead", "x", axis.x(float64(z.Ahead)), "y", skyY-4, "width", plotR-axis.x(float64(z.Ahead)), "height", floorY-skyY+4)
	}
	// The dry ground: from the surface down to the depletion.
	var ground, driest, trigger path
	ground.move(axis.x(0), surfaceY)
	wasTrigger := false
	for i := range z.Days {
		day := &z.Days[i]
		x0, x1 := axis.x(float64(i)), axis.x(float64(i+1))
		ground.line(x1, down(day.DepletionMM))
		if i == 0 {
			driest.move(x1, down(day.DriestMM))
		} else {
			driest.line(x1, down(day.DriestMM))
		}
		if !(day.TriggerMM > 0) { // no crop, or not known
			wasTrigger = false
			continue
		}
		if y := down(day.TriggerMM); wasTrigger {
			trigger.line(x1, y)
		} else {
			trigger.move(x0, y)
			trigger.line(x1, y)
		}
		wasTrigger = true
	}
	ground.line(axis.x(float64(axis.n)), surfaceY)
	ground.shut()
	d.el("path", "class", "dry-ground", "d", ground.String())
	if band := v.band(z, axis, down); band != "" {
		d.el("path", "class", "range", "d", band)
	}
	d.el("path", "class", "driest", "d", driest.String())
	d.el("path", "class", "trigger", "d", trigger.String())
	// What came: rain hollow, irrigation solid.
	w := (plotR - plotL) / float64(axis.n)
	var rain, irr path
	for i := range z.Days {
		day, x := &z.Days[i], axis.x(float64(i))+0.15*w
		if day.RainMM >= 0.2 {
			rain.bar(x, surfaceY, max(1.1, 0.7*w), up(day.RainMM))
		}
		if day.IrrigationMM >= 0.2 {
			irr.bar(x, surfaceY, max(1.4, 0.7*w), up(day.IrrigationMM))
		}
	}
	d.el("path", "class", "rain", "d", rain.String())
	d.el("path", "class", "irr", "d", irr.String())
	d.el("path", "class", "surface", "d", fmt.Sprintf("M%s %sH%s", num(plotL), num(surfaceY), num(plotR)))
	if z.Ahead < axis.n && z.Ahead > 0 {
		x := axis.x(float64(z.Ahead))
		d.el("path", "class", "now", "d", fmt.Sprintf("M%s %sV%s", num(x), num(skyY-4), num(floorY)))
	}
	v.depthScale(&d, deepest, down, "sc")
	top := niceBelow(units.Depth.Value(v.s, tallest))
	d.text(plotL-4, up(top/units.Depth.Value(v.s, 1))+4, "sc r", trimZeros(top))
	return d.end()
}

func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// band is the range of the days ahead, where there is one.
func (v *view) band(z *Zone, axis daysAxis, down func(float64) float64) string {
	wide := false
	var p path
	for i := z.Ahead; i < len(z.Days); i++ {
		day := &z.Days[i]
		wide = wide || day.HighMM-day.LowMM > 0.05
		if i == z.Ahead {
			p.move(axis.x(float64(i)), down(z.Days[max(0, i-1)].DepletionMM))
		}
		p.line(axis.x(float64(i+1)), down(day.LowMM))
	}
	for i := len(z.Days) - 1; i >= z.Ahead; i-- {
		p.line(axis.x(float64(i+1)), down(z.Days[i].HighMM))
	}
	if !wide {
		return ""
	}
	p.shut()
	return p.String()
}

// depthScale writes two or three depths beside the ground.
func (v *view) depthScale(d *drawing, deepest float64, down func(float64) float64, class string) {
	shown := units.Depth.Value(v.s, deepest)
	step := niceBelow(shown / 2)
	for k := 0.0; k*step <= shown*1.001; k++ {
		y := down(k * step / units.Depth.Value(v.s, 1))
		if k > 0 {
			d.el("path", "class", "grid", "d", fmt.Sprintf("M%s %sH%s", num(plotL), num(y), num(plotR)))
		}
		d.text(plotL-4, y+4, class+" r", trimZeros(k*step))
	}
}

func trimZeros(v float64) string {
	return fmt.Sprintf("%g", math.Round(v*1000)/1000)
}

// months writes the months along the days, with a tick where each begins; days
// where the plot is short.
func (v *view) months(d *drawing, a daysAxis, y float64) {
	if a.n <= 62 {
		for i := range a.n {
			date := a.first.AddDays(i)
			if date.Day%7 != 1 || date.Day > 28 {
				continue
			}
			x := a.x(float64(i))
			d.el("path", "class", "grid", "d", fmt.Sprintf("M%s %sV%s", num(x), num(y-13), num(y-9)))
			if x > plotW-36 {
				continue // its name would not be whole
			}
			d.text(x, y, "sc", fmt.Sprintf("%d %s", date.Day, date.Month.String()[:3]), "text-anchor", "start")
		}
		return
	}
	for i := range a.n {
		date := a.first.AddDays(i)
		if date.Day != 1 && i != 0 {
			continue
		}
		x := a.x(float64(i))
		if i == 0 && date.Day > 15 {
			continue // no room for its name before the next
		}
		d.el("path", "class", "grid", "d", fmt.Sprintf("M%s %sV%s", num(x), num(skyY-4), num(floorY)))
		if x <= plotW-20 {
			d.text(x+2, y, "sc", date.Month.String()[:3])
		}
	}
}

func (v *view) soilWords(z *Zone) string {
	last := z.Days[max(0, min(z.Ahead, len(z.Days))-1)]
	words := fmt.Sprintf("Soil water of %s since %s: depletion %s on %s, trigger %s", z.Name, report.DayText(z.Days[0].Date),
		units.Depth.Text(v.s, last.DepletionMM), report.DayText(last.Date), units.Depth.Text(v.s, last.TriggerMM))
	if z.Ahead < len(z.Days) {
		end := z.Days[len(z.Days)-1]
		words += fmt.Sprintf("; %s expected on %s", units.Depth.Text(v.s, end.DepletionMM), report.DayText(end.Date))
	}
	return words
}
