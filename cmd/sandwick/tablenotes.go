// Where the depths of the water table come from, and how they are carried on,
// in words.
package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/soilwater/watertable"

	"github.com/golang-sql/civil"
)

// depthNotes tell where the depths of the water table come from, the zones of
// one source together: first the pipes, then the dates of the map.
func (v view) depthNotes(season *fields.Season) []report.Note {
	notes := []report.Note{}
	followed := map[int]bool{}
	for _, p := range season.Pipes() {
		if p.Readings == 0 {
			continue // its zones keep the depth of the map
		}
		names := []string{}
		for _, z := range p.Zones {
			followed[z] = true
			names = append(names, v.farm.Zones[z].Name)
		}
		notes = append(notes, pipeNote(&p, season.Today, strings.Join(names, ", ")))
	}
	sources, zones := []string{}, map[string][]string{}
	for z := range v.farm.Zones {
		zone := &v.farm.Zones[z]
		if math.IsInf(zone.TableM, 1) || followed[z] {
			continue
		}
		source := "the map, no date, held since"
		switch {
		case zone.TableDate.After(season.Today):
			source = "the map, " + readAgo(zone.TableDate, season.Today) + ", taken for the days before it too"
		case zone.TableDate.IsValid():
			source = "the map, " + readAgo(zone.TableDate, season.Today) + ", held since"
		}
		if len(zones[source]) == 0 {
			sources = append(sources, source)
		}
		zones[source] = append(zones[source], zone.Name)
	}
	for _, source := range sources {
		notes = append(notes, report.Plain(fmt.Sprintf("water table from %s: %s", source, strings.Join(zones[source], ", "))))
	}
	return notes
}

// readAgo says when a depth was read; one dated later than the work was not read
// by then.
func readAgo(read, today civil.Date) string {
	if read.After(today) {
		return "of " + read.In(time.UTC).Format("2 Jan 2006") + ", later than today"
	}
	if age := today.DaysSince(read); age > 0 {
		return fmt.Sprintf("read %s ago", days(age))
	}
	return "read today"
}

// pipeNote tells how the depth in a pipe is carried on, what speaks for it, and
// which reading is not trusted.
func pipeNote(p *fields.PipeState, today civil.Date, zones string) report.Note {
	from := fmt.Sprintf("water table from pipe %s, %s", p.Name, readAgo(p.Last.Date, today))
	return func(s units.System) string {
		text := from
		if p.Held != watertable.NotHeld {
			text += ", held since, as " + heldBecause(p, s)
		} else {
			fit, none := p.Score.RMSE()
			text += fmt.Sprintf(", falling %s a day then, give or take %s, by the recession of %d readings (r2 %.2f); %d-day forecasts on this pipe were off by %s, no change by %s",
				units.Depth.Text(s, 1000*p.Fit.RateMPerDay), units.Depth.Text(s, 1000*p.Fit.RateSE()), p.Fit.Readings, p.Fit.R2,
				watertable.HindcastLeadDays, units.Depth.Text(s, 1000*fit), units.Depth.Text(s, 1000*none))
		}
		return text + ": " + zones + notTrusted(p, s)
	}
}

// notTrusted tells of a reading after the last that is used.
func notTrusted(p *fields.PipeState, s units.System) string {
	if len(p.Doubted) == 0 {
		return ""
	}
	d := &p.Doubted[len(p.Doubted)-1]
	if d.Used() || !d.Reading.Date.After(p.Last.Date) {
		return ""
	}
	return fmt.Sprintf("; the reading of %s, %s, is not trusted, %s off in %s: what is skipped there rests on the one before; read the pipe again",
		d.Reading.Date.In(time.UTC).Format("Mon 2 Jan"), units.Ground.Text(s, d.Reading.DepthM),
		units.Ground.Text(s, math.Abs(d.Reading.DepthM-d.Before.DepthM)), days(d.Reading.Date.DaysSince(d.Before.Date)))
}

// heldBecause is why a pipe's last reading is held.
func heldBecause(p *fields.PipeState, s units.System) string {
	switch p.Held {
	case watertable.FewReadings:
		return fmt.Sprintf("a recession takes %d readings within %d days and since much rain, and it has %d", watertable.MinReadings, watertable.WindowDays, p.Fit.Readings)
	case watertable.ShortSpan:
		return fmt.Sprintf("the readings span less than %d days", watertable.MinSpanDays)
	case watertable.RecentRain:
		return fmt.Sprintf("%s or more of rain fell by %s", units.Depth.Text(s, watertable.RechargeMM), p.RainOn.In(time.UTC).Format("Mon 2 Jan"))
	case watertable.Rising:
		return "it was not falling"
	case watertable.PoorFit:
		return fmt.Sprintf("its readings follow no even recession (r2 %.2f)", math.Max(0, p.Fit.R2))
	case watertable.Untried:
		return fmt.Sprintf("this pipe's past allows %d trial forecasts, and %d are needed to trust one", p.Score.Hindcasts, watertable.MinHindcasts)
	}
	fit, none := p.Score.RMSE()
	return fmt.Sprintf("forecasts would not have beaten no change on this pipe (off by %s against %s in %d trials)",
		units.Depth.Text(s, 1000*fit), units.Depth.Text(s, 1000*none), p.Score.Hindcasts)
}
