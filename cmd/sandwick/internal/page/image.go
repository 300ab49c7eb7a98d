// Single plots as PNG, by gonum/plot: the very numbers that the page draws.

package page

import (
	"fmt"
	"image/color"
	"io"
	"math"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// WeatherPlot is the name of the plot of rain and ET.
const WeatherPlot = "weather"

// An image's size: half a letter page at 200 dots an inch.
const (
	imageW, imageH = 7.5 * vg.Inch, 3.6 * vg.Inch
	imageDPI       = 200
)

// The page's colours.
var (
	ink   = color.RGBA{0x1b, 0x18, 0x13, 0xff}
	water = color.RGBA{0x0e, 0x4a, 0x63, 0xff}
	sand  = color.RGBA{0xdf, 0xbd, 0x7e, 0xff}
	earth = color.RGBA{0x5d, 0x41, 0x10, 0xff}
	pale  = color.RGBA{0xf1, 0xea, 0xdc, 0xff}
)

// Plots are the names of the single plots of a page.
func Plots(a *Args) []string {
	names := []string{}
	if len(a.Weather) > 0 {
		names = append(names, WeatherPlot)
	}
	for i := range a.Pivots {
		for z := range a.Pivots[i].Zones {
			names = append(names, a.Pivots[i].Zones[z].Name)
		}
	}
	for i := range a.Rainfed {
		names = append(names, a.Rainfed[i].Name)
	}
	if a.Plan != nil {
		for i := range a.Wells {
			names = append(names, a.Wells[i].Name)
		}
	}
	return names
}

// WritePNG writes the plot of that name; an error where there is none.
func WritePNG(w io.Writer, a *Args, name string) error {
	p, err := figure(a, name)
	if err != nil {
		return err
	}
	c := vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(imageW, imageH), vgimg.UseDPI(imageDPI))}
	p.Draw(draw.Crop(draw.New(c), 6, -10, 6, -6))
	if _, err := c.WriteTo(w); err != nil {
		return fmt.Errorf("writing the plot: %w", err)
	}
	return nil
}

func figure(a *Args, name string) (*plot.Plot, error) {
	if name == WeatherPlot && len(a.Weather) > 0 {
		return weatherFigure(a), nil
	}
	for i := range a.Pivots {
		for z := range a.Pivots[i].Zones {
			if zone := &a.Pivots[i].Zones[z]; zone.Name == name {
				return soilFigure(a, zone), nil
			}
		}
	}
	for i := range a.Rainfed {
		if a.Rainfed[i].Name == name {
			return soilFigure(a, &a.Rainfed[i]), nil
		}
	}
	for i := range a.Wells {
		if a.Wells[i].Name == name && a.Plan != nil {
			return hoursFigure(a, &a.Wells[i]), nil
		}
	}
	return nil, fmt.Errorf("there is no plot %q", name)
}

func newFigure(title, unit string, first civil.Date, days int) *plot.Plot {
	p := plot.New()
	p.Title.Text = title
	p.Y.Label.Text = unit
	p.X.Tick.Marker = dayTicks{first, days}
	p.X.Min, p.X.Max = 0, float64(days)
	p.Legend.Top, p.Legend.Left = true, true // the days ahead are at the right
	for _, t := range []*draw.TextStyle{&p.Title.TextStyle, &p.X.Tick.Label, &p.Y.Tick.Label, &p.Y.Label.TextStyle, &p.Legend.TextStyle} {
		t.Font.Variant, t.Color = "Sans", ink
		t.Font.Size = 9
	}
	p.Title.TextStyle.Font.Size = 12
	p.Title.Padding = 4
	p.Legend.Padding = 3
	p.Legend.ThumbnailWidth = 16
	p.Legend.TextStyle.Font.Size = 8
	return p
}

// dayTicks marks days of the calendar: the first of each month, or on short
// plots every seventh day.
type dayTicks struct {
	first civil.Date
	days  int
}

func (t dayTicks) Ticks(lo, hi float64) []plot.Tick {
	list := []plot.Tick{}
	for i := range t.days {
		d := t.first.AddDays(i)
		switch {
		case float64(i) < lo || float64(i) > hi:
		case t.days > 62 && d.Day == 1:
			list = append(list, plot.Tick{Value: float64(i), Label: d.Month.String()[:3]})
		case t.days <= 62 && t.days > 14 && d.Day%7 == 1 && d.Day < 29, t.days <= 14:
			list = append(list, plot.Tick{Value: float64(i), Label: fmt.Sprintf("%d %s", d.Day, d.Month.String()[:3])})
		}
	}
	return list
}

// area is a filled polygon; its points are all finite, so it cannot fail.
func area(xy plotter.XYs, fill color.Color) *plotter.Polygon {
	p, err := plotter.NewPolygon(xy)
	if err != nil {
		panic("page: polygon: " + err.Error())
	}
	p.Color = fill
	p.LineStyle.Width = 0
	return p
}

func line(xy plotter.XYs, c color.Color, width float64, dashes ...vg.Length) *plotter.Line {
	l, err := plotter.NewLine(xy)
	if err != nil {
		panic("page: line: " + err.Error())
	}
	l.Color, l.Width, l.Dashes = c, vg.Points(width), dashes
	return l
}

func box(x0, x1, y0, y1 float64) plotter.XYs {
	return plotter.XYs{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// soilFigure: rain and irrigation above the surface, depletion below it.
func soilFigure(a *Args, z *Zone) *plot.Plot {
	unit := units.Depth.Unit(a.Units)
	show := func(mm float64) float64 { return units.Depth.Value(a.Units, finite(mm)) }
	n := len(z.Days)
	first := civil.DateOf(a.Now)
	if n > 0 {
		first = z.Days[0].Date
	}
	p := newFigure("Soil water of "+z.Name+": water given above, depletion below", unit, first, n)
	if n == 0 {
		return p
	}
	top, bottom := 0.0, 0.0
	ground := plotter.XYs{{X: 0, Y: 0}}
	trigger, driest := plotter.XYs{}, plotter.XYs{}
	band := plotter.XYs{}
	for i := range z.Days {
		d := &z.Days[i]
		x := float64(i + 1)
		ground = append(ground, plotter.XY{X: x, Y: -show(d.DepletionMM)})
		driest = append(driest, plotter.XY{X: x, Y: -show(d.DriestMM)})
		if d.TriggerMM > 0 {
			trigger = append(trigger, plotter.XY{X: x, Y: -show(d.TriggerMM)})
		}
		top = math.Max(top, math.Max(show(d.RainMM), show(d.IrrigationMM)))
		bottom = math.Max(bottom, math.Max(show(d.DriestMM), math.Max(show(d.TriggerMM), show(d.HighMM))))
		if i >= z.Ahead {
			band = append(band, plotter.XY{X: x, Y: -show(d.LowMM)})
		}
	}
	for i := n - 1; i >= z.Ahead; i-- {
		band = append(band, plotter.XY{X: float64(i + 1), Y: -show(z.Days[i].HighMM)})
	}
	ground = append(ground, plotter.XY{X: float64(n), Y: 0})
	top = math.Max(top, show(25))
	p.Y.Min, p.Y.Max = -1.05*bottom, 1.05*top+0.3*(bottom+top) // room for the key
	var ahead *plotter.Polygon
	if z.Ahead < n {
		ahead = area(box(float64(z.Ahead), float64(n), p.Y.Min, p.Y.Max), pale)
		ahead.LineStyle.Width, ahead.LineStyle.Color = vg.Points(0.5), earth
		p.Add(ahead)
	}
	dry := area(ground, sand)
	p.Add(dry)
	p.Legend.Add("depletion, mean", dry)
	if len(band) > 2 {
		p.Add(area(band, color.NRGBA{0x8a, 0x64, 0x24, 0x66}))
	}
	worst := line(driest, earth, 0.7)
	p.Add(worst)
	p.Legend.Add("of the driest ground", worst)
	if len(trigger) > 1 {
		at := line(trigger, ink, 1.2, 4, 3)
		p.Add(at)
		p.Legend.Add("trigger", at)
	}
	var rain, irr *plotter.Polygon
	for i := range z.Days {
		d := &z.Days[i]
		if y := show(d.RainMM); y > 0 {
			rain = area(box(float64(i)+0.1, float64(i)+0.9, 0, y), color.White)
			rain.LineStyle.Width, rain.LineStyle.Color = vg.Points(0.7), water
			p.Add(rain)
		}
		if y := show(d.IrrigationMM); y > 0 {
			irr = area(box(float64(i)+0.1, float64(i)+0.9, 0, y), water)
			p.Add(irr)
		}
	}
	if rain != nil {
		p.Legend.Add("rain", rain)
	}
	if irr != nil {
		p.Legend.Add("irrigation", irr)
	}
	if ahead != nil {
		p.Legend.Add(aheadWords(a.Kind), ahead)
	}
	p.Add(line(plotter.XYs{{X: 0, Y: 0}, {X: float64(n), Y: 0}}, ink, 1))
	p.Y.Tick.Marker = plot.TickerFunc(func(lo, hi float64) []plot.Tick { // depths have no sign
		ticks := plot.DefaultTicks{}.Ticks(lo, hi)
		for i := range ticks {
			if ticks[i].Label != "" {
				ticks[i].Label = trimZeros(math.Abs(ticks[i].Value))
			}
		}
		return ticks
	})
	return p
}

func weatherFigure(a *Args) *plot.Plot {
	unit := units.Depth.Unit(a.Units)
	show := func(mm float64) float64 { return units.Depth.Value(a.Units, finite(mm)) }
	n := len(a.Weather)
	p := newFigure(fmt.Sprintf("Rain and reference ET to %s", report.DayYearText(a.Weather[n-1].Date)), unit+" a day", a.Weather[0].Date, n)
	top := show(8)
	for i := range a.Weather {
		top = math.Max(top, math.Max(show(a.Weather[i].RainMM), show(a.Weather[i].EToMM)))
	}
	p.Y.Min, p.Y.Max = 0, 1.35*top // room for the key
	var ahead *plotter.Polygon
	for i := range a.Weather {
		if a.Weather[i].Ahead {
			ahead = area(box(float64(i), float64(n), 0, p.Y.Max), pale)
			ahead.LineStyle.Width, ahead.LineStyle.Color = vg.Points(0.5), earth
			p.Add(ahead)
			break
		}
	}
	var rain, et *plotter.Polygon
	for i := range a.Weather {
		d := &a.Weather[i]
		x := float64(i)
		if d.EToMM > 0 {
			et = area(box(x+0.5, x+0.9, 0, show(d.EToMM)), sand)
			p.Add(et)
		}
		if d.RainMM > 0 {
			rain = area(box(x+0.1, x+0.5, 0, show(d.RainMM)), color.White) // filled is irrigation
			rain.LineStyle.Width, rain.LineStyle.Color = vg.Points(0.9), water
			p.Add(rain)
		}
	}
	if rain != nil {
		p.Legend.Add("rain", rain)
	}
	if et != nil {
		p.Legend.Add("reference ET", et)
	}
	if ahead != nil {
		p.Legend.Add("days ahead, as expected", ahead)
	}
	return p
}

func hoursFigure(a *Args, w *Well) *plot.Plot {
	first, days := civil.Date(a.Plan.From), a.Plan.Horizon()
	p := newFigure("Hours of "+w.Name, "", first, days)
	loc := a.Now.Location()
	from := time.Date(first.Year, first.Month, first.Day, 0, 0, 0, 0, loc)
	until := time.Date(first.Year, first.Month, first.Day+days, 0, 0, 0, 0, loc)
	x := func(t time.Time) float64 { return float64(days) * t.Sub(from).Hours() / until.Sub(from).Hours() }
	lanes := float64(len(w.Lanes))
	p.Y.Min, p.Y.Max = 0, lanes+0.6
	bar := func(t0, t1 time.Time, y0, y1 float64, fill color.Color) *plotter.Polygon {
		x0, x1 := math.Max(0, x(t0)), math.Min(float64(days), x(t1))
		if x1 <= x0 {
			return nil
		}
		b := area(box(x0, x1, y0, y1), fill)
		p.Add(b)
		return b
	}
	legend := map[string]*plotter.Polygon{}
	for _, s := range w.NoRun {
		if b := bar(s.From, s.To, 0, lanes, color.RGBA{0xc9, 0xbd, 0xa6, 0xff}); b != nil {
			legend["may not run"] = b
		}
	}
	ticks := plot.ConstantTicks{}
	for i := range w.Lanes {
		y := lanes - float64(i) - 1
		ticks = append(ticks, plot.Tick{Value: y + 0.5, Label: w.Lanes[i].Pivot})
		for _, r := range w.Lanes[i].Runs {
			name, fill, thin := "pumping", color.Color(water), 0.2
			if !r.Wet {
				name, fill, thin = "walking dry", earth, 0.42
			}
			if b := bar(r.From, r.To, y+thin, y+1-thin, fill); b != nil {
				legend[name] = b
			}
		}
	}
	for _, name := range []string{"pumping", "walking dry", "may not run"} {
		if b := legend[name]; b != nil {
			p.Legend.Add(name, b)
		}
	}
	p.Y.Tick.Marker = ticks
	return p
}
