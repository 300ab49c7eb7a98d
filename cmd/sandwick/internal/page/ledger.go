// The season's books on a page: water by month, where it went, what leaving
// ground alone saved, the cuts.

package page

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// ledger is a season as the template wants it.
type ledger struct {
	Span    string
	Wells   []wellBook
	Fields  []fieldBook
	Cuts    []cutRow
	Methods []string
	Guessed []string
	Notice  []string
	Total   string
}

type wellBook struct {
	Name    string
	Months  []monthRow
	Season  monthRow
	Limit   string
	Drawing template.HTML
}

type monthRow struct {
	Month, Water, By, Hours, Energy, Cost string
	Drawing                               template.HTML
}

type fieldBook struct {
	Name, Crop, Text string
	Drawing          template.HTML
}

type cutRow struct{ Field, Date, Oil, Hay, PerArea, PerWater string }

// season fills the books of a season.
func (v *view) season(s *report.Season) {
	l := &ledger{Span: fmt.Sprintf("%s to %s", report.DayYearText(civil.Date(s.From)), report.DayYearText(civil.Date(s.To)))}
	money := func(n report.Number) string { return units.Money(s.Currency, float64(n)) }
	row := func(name string, w *report.SeasonWater, most float64) monthRow {
		r := monthRow{Month: name, Water: units.Withdrawal.Format(v.s, float64(w.M3)), By: w.Basis,
			Hours: units.Hours.Format(v.s, float64(w.PumpHours)), Energy: units.Energy.Format(v.s, float64(w.EnergyKWh)), Cost: money(w.Cost)}
		for name, text := range map[string]*string{"withdrawn_m3": &r.Water, "pump_hours": &r.Hours, "energy_kwh": &r.Energy, "cost": &r.Cost} {
			if slices.Contains(w.Estimated, name) {
				*text += "*"
			}
		}
		if most > 0 {
			r.Drawing = level(name+" "+r.Water, "irr", float64(w.M3)/most, 0)
		}
		return r
	}
	most := 0.0
	for i := range s.Wells {
		for k := range s.Wells[i].Months {
			most = max(most, finite(float64(s.Wells[i].Months[k].M3)))
		}
	}
	for i := range s.Wells {
		w := &s.Wells[i]
		b := wellBook{Name: w.Well, Season: row("season", &w.Season, 0)}
		for k := range w.Months {
			if m := &w.Months[k]; m.M3 > 0 || m.PumpHours > 0 {
				b.Months = append(b.Months, row(monthName(m.Month), &m.SeasonWater, most))
			}
		}
		if limit := float64(w.LimitM3); limit > 0 && !math.IsInf(limit, 1) {
			b.Limit = fmt.Sprintf("limit %s, used %.0f %%", units.Withdrawal.Text(v.s, limit), float64(w.UsedPct))
			next := 0.0
			if p := &w.Projection; p.Years > 0 {
				b.Limit += fmt.Sprintf("; the season may end at %s (%s to %s in the weather of %d years)", units.Withdrawal.Text(v.s, float64(p.MeanM3)),
					units.Withdrawal.Format(v.s, float64(p.LeastM3)), units.Withdrawal.Format(v.s, float64(p.MostM3)), p.Years)
				next = math.Max(0, float64(p.MeanM3-w.Season.M3)/limit)
			}
			b.Drawing = level(w.Well+": "+b.Limit, "irr", float64(w.Season.M3)/limit, next)
		}
		l.Wells = append(l.Wells, b)
	}
	for i := range s.Fields {
		l.Fields = append(l.Fields, v.fieldBook(s, &s.Fields[i]))
	}
	for i := range s.Cuts {
		c := &s.Cuts[i]
		l.Cuts = append(l.Cuts, cutRow{c.Field, report.DayText(civil.Date(c.Date)), units.Mass.Format(v.s, float64(c.OilKg)), units.Mass.Format(v.s, float64(c.HayKg)),
			units.Yield.Format(v.s, float64(c.OilKgPerM2)), units.PerWater.Format(v.s, float64(c.OilKgPerM3))})
	}
	l.Guessed = s.EstimatedText(v.s)
	l.Methods = report.Texts(s.Methods, v.s)
	l.Notice = s.Notice
	l.Total = fmt.Sprintf("%s withdrawn in %s of pumping, %s", units.Withdrawal.Text(v.s, float64(s.Total.M3)),
		units.Hours.Text(v.s, float64(s.Total.PumpHours)), money(s.Total.Cost))
	v.Ledger = l
}

// monthName is "May" for "2025-05".
func monthName(month string) string {
	t, err := time.Parse("2006-01", month)
	if err != nil {
		return month
	}
	return t.Month().String()
}

// fieldBook draws where a field's water went: what came in above, what became of
// it below, both bars of one length because the balance closes.
func (v *view) fieldBook(s *report.Season, f *report.SeasonField) fieldBook {
	g := &f.Season.SeasonGround
	type part struct {
		name, class string
		mm          float64
	}
	in := []part{{"rain", "rain", float64(g.RainMM)}, {"irrigation", "irr", float64(g.NetMM)}, {"from below", "b-fed", float64(g.UpfluxMM)}}
	out := []part{{"ET", "et", float64(g.ETMM)}, {"percolation", "b-perc", float64(g.PercolationMM)}, {"runoff", "walk", float64(g.RunoffMM)}}
	// Water taken out of the ground's own store came in; water left in it went out.
	if store := float64(g.StorageMM) - float64(g.CorrectionMM); store < 0 {
		in = append(in, part{"out of store", "b-store", -store})
	} else {
		out = append(out, part{"into store", "b-store", store})
	}
	sum := 0.0
	for _, p := range in {
		sum += finite(p.mm)
	}
	b := fieldBook{Name: f.Field, Crop: f.Crop}
	if f.Season.M3 > 0 {
		b.Text = fmt.Sprintf("%s withdrawn for %s, %s.", units.Withdrawal.Text(v.s, float64(f.Season.M3)), units.Area.Text(v.s, float64(g.AreaM2)), units.Money(s.Currency, float64(f.Season.Cost)))
	}
	if g.SavedM3 > 0 && g.ToursM2 > 0 {
		b.Text += fmt.Sprintf(" In %d tours %.0f %% of the ground was left alone: %s and %s saved.", f.Tours, 100*float64(g.SkippedM2/g.ToursM2),
			units.Withdrawal.Text(v.s, float64(g.SavedM3)), units.Money(s.Currency, float64(g.SavedCost)))
	}
	const barH, rowH, topY = 17.0, 12.0, 28.0
	words := f.Field + ": "
	var d drawing
	// A label that has no room beside its neighbour goes one row further out.
	draw := func(y float64, parts []part, wordsY, step float64) {
		x := 2.0
		free := [2]float64{} // where the last label of each row ended
		for _, p := range parts {
			w := 336 * finite(p.mm) / sum
			if w < 0.4 {
				continue
			}
			d.el("rect", "class", p.class+" flow", "x", x, "y", y, "width", w, "height", barH)
			label := p.name + " " + units.Depth.Format(v.s, p.mm)
			wide := 5.4 * float64(len(label))
			at, row := min(x, plotW-wide), 0
			if at < free[0] {
				row = 1
			}
			if at = max(at, free[row]); at+wide <= plotW+2 {
				d.text(at, wordsY+step*float64(row), "sc", label)
				free[row] = at + wide
			}
			words += label + "; "
			x += w
		}
	}
	if sum > 0 {
		draw(topY, in, topY-6, -rowH)
		draw(topY+barH+3, out, topY+2*barH+14, rowH)
		var all drawing
		all.begin("plot balance", words, 0, 0, plotW, topY+2*barH+14+rowH+4)
		all.b.WriteString(d.b.String())
		b.Drawing = all.end()
	}
	return b
}
