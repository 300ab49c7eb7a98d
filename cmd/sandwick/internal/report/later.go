// What begins after tomorrow, so that it is grasped at a glance: one row for
// each machine, with the hours it pumps on each day.

package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// laterDays is how many days stand side by side: with more the rows get wider
// than a sheet.
const laterDays = 10

// laterRow is one machine's passes that begin after tomorrow.
type laterRow struct {
	pivot  string
	passes []*Pass
	hours  []float64 // of pumping, by day of the plan
}

// later gathers the passes that begin after tomorrow by machine; the machine
// that begins first comes first.
func (p *Plan) later() []laterRow {
	rows := []laterRow{}
	for i := range p.Passes {
		pass := &p.Passes[i] // in order of time
		if p.startsSoon(pass) {
			continue
		}
		k := slices.IndexFunc(rows, func(r laterRow) bool { return r.pivot == pass.Pivot })
		if k < 0 {
			k = len(rows)
			rows = append(rows, laterRow{pivot: pass.Pivot, hours: make([]float64, p.horizon())})
		}
		rows[k].passes = append(rows[k].passes, pass)
		p.pumps(rows[k].hours, pass)
	}
	return rows
}

// pumps adds the hours that a pass pumps on each day.
func (p *Plan) pumps(hours []float64, pass *Pass) {
	loc := time.Time(p.MadeAt).Location()
	for i := range pass.Legs {
		l := &pass.Legs[i]
		if !l.Water {
			continue
		}
		for d := range hours {
			day := civil.Date(p.From).AddDays(d)
			from, to := day.In(loc), day.AddDays(1).In(loc)
			hours[d] += overlap(from, to, time.Time(l.Start), time.Time(l.End))
			for _, still := range pass.Pauses {
				a, b := time.Time(still.From), time.Time(still.To)
				if a.Before(time.Time(l.Start)) {
					a = time.Time(l.Start)
				}
				if b.After(time.Time(l.End)) {
					b = time.Time(l.End)
				}
				hours[d] -= overlap(from, to, a, b)
			}
		}
	}
}

// overlap is how long two stretches have in common, hours.
func overlap(a0, a1, b0, b1 time.Time) float64 {
	if b0.After(a0) {
		a0 = b0
	}
	if b1.Before(a1) {
		a1 = b1
	}
	return max(0, a1.Sub(a0).Hours())
}

// writeLater prints the days after tomorrow, so many at a time.
func (p *Plan) writeLater(b *strings.Builder, s units.System) {
	rows := p.later()
	if len(rows) == 0 {
		return
	}
	b.WriteString("\nLATER, to be looked at again each day: hours of pumping by what begins after tomorrow\n")
	for first := soon; first < p.horizon(); first += laterDays {
		end := min(first+laterDays, p.horizon())
		columns := []table.Column{table.Words("pivot"), table.Words("begins")}
		for d := first; d < end; d++ {
			day := civil.Date(p.From).AddDays(d).In(time.UTC)
			columns = append(columns, table.Numbers(day.Format("Mon"), day.Format("2")))
		}
		t := table.New(append(columns, table.Numbers("passes", ""), table.Column{Name: "first for", Unit: "depletion/trigger, " + units.Depth.Unit(s)})...)
		t.Indent = 2
		for i := range rows {
			if cells, ok := p.laterCells(&rows[i], first, end, s); ok {
				t.Row(cells...)
			}
		}
		b.WriteString(t.String())
	}
	b.WriteString(table.Paragraph("  ", "--csv has each of these passes leg by leg."))
}

// laterCells are the cells of a machine's row for the days from first to before
// end; ok is false where it does nothing on them.
func (p *Plan) laterCells(r *laterRow, first, end int, s units.System) (cells []string, ok bool) {
	cells = []string{r.pivot, "goes on"}
	var begins *Pass
	n := 0
	for _, pass := range r.passes {
		if d := civil.DateOf(time.Time(pass.Start)).DaysSince(civil.Date(p.From)); d >= first && d < end {
			if begins == nil {
				begins = pass
			}
			n++
		}
	}
	why := ""
	if begins != nil {
		cells[1] = dayBrief(civil.DateOf(time.Time(begins.Start))) + time.Time(begins.Start).Round(time.Minute).Format(" 15:04")
		why = begins.Why.Under(r.pivot).Brief(s)
	}
	pumps := false
	for _, h := range r.hours[first:end] {
		cells = append(cells, hoursCell(h))
		pumps = pumps || h > 0
	}
	return append(cells, fmt.Sprint(n), why), pumps || n > 0
}

// hoursCell is whole hours; "." is none, "<1" a part of one.
func hoursCell(h float64) string {
	switch {
	case h < 1.0/60:
		return "."
	case h < 0.5:
		return "<1"
	}
	return fmt.Sprintf("%.0f", math.Round(h))
}
