// A well's hours: which pivot runs when, and when none may.

package page

import (
	"fmt"
	"html/template"
	"time"

	"sandwick/cmd/sandwick/internal/report"

	"github.com/golang-sql/civil"
)

// hours draws one well from the first day to the last.
func (v *view) hours(w *Well, first civil.Date, days int) template.HTML {
	const left, right, head = 4.0, 336.0, 27.0
	const laneH, barH, nameH = 31.0, 13.0, 13.0
	loc := v.now.Location()
	from := time.Date(first.Year, first.Month, first.Day, 0, 0, 0, 0, loc)
	// Days are drawn equally wide, though clocks may give one of them an hour more or less.
	x := func(t time.Time) float64 {
		t = t.In(loc)
		d := civil.DateOf(t)
		start := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, loc)
		end := time.Date(d.Year, d.Month, d.Day+1, 0, 0, 0, 0, loc)
		at := float64(d.DaysSince(first)) + t.Sub(start).Hours()/end.Sub(start).Hours()
		return left + (right-left)*min(max(at/float64(days), 0), 1)
	}
	h := head + laneH*float64(len(w.Lanes)) + 6
	var d drawing
	d.begin("plot hours", v.hoursWords(w), 0, 0, plotW, h)
	bar := func(class string, y, height float64, a, b time.Time) {
		if x1, x0 := x(b), x(a); x1 > x0 && b.After(from) {
			d.el("rect", "class", class, "x", x0, "y", y, "width", max(0.8, x1-x0), "height", height)
		}
	}
	for _, s := range w.NoRun {
		bar("norun", head, h-head-6, s.From, s.To)
	}
	step := 1
	if days > 12 {
		step = 2
	}
	for k := 0; k <= days; k++ {
		day := first.AddDays(k)
		at := left + (right-left)*float64(k)/float64(days)
		d.el("path", "class", "grid", "d", fmt.Sprintf("M%s %sV%s", num(at), num(head-3), num(h-6)))
		if k < days && k%step == 0 {
			d.text(at+2, head-16, "sc", day.In(time.UTC).Format("Mon"))
			d.text(at+2, head-5, "sc", day.In(time.UTC).Format("2"))
		}
	}
	for i := range w.Lanes {
		lane := &w.Lanes[i]
		y := head + laneH*float64(i)
		y += nameH + 2
		for _, s := range lane.NoWater {
			bar("nowater", y+barH/2-1, 2, s.From, s.To)
		}
		for _, s := range lane.NoRun {
			bar("norun", y-1, barH+2, s.From, s.To)
		}
		for _, r := range lane.Runs {
			if r.Wet {
				bar("irr", y, barH, r.From, r.To)
			} else {
				bar("walk", y+3, barH-6, r.From, r.To)
			}
		}
	}
	now := x(v.now)
	d.el("path", "class", "now", "d", fmt.Sprintf("M%s %sV%s", num(now), num(head-3), num(h-6)))
	for i := range w.Lanes { // last, so that no line is struck through a name
		d.text(left+2, head+laneH*float64(i)+nameH-1.5, "lane", w.Lanes[i].Pivot)
	}
	return d.end()
}

func (v *view) hoursWords(w *Well) string {
	words := "Hours of " + w.Name
	for i := range w.Lanes {
		for _, r := range w.Lanes[i].Runs {
			if r.Wet {
				words += fmt.Sprintf("; %s runs from %s to %s", w.Lanes[i].Pivot, report.MomentText(r.From), report.MomentText(r.To))
			}
		}
	}
	return words
}
