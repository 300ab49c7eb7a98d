// Package takeaway writes a plan in the open forms that other programs read: a
// calendar (RFC 5545) and a map (RFC 7946).
package takeaway

import (
	"fmt"
	"io"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"

	ics "github.com/arran4/golang-ical"
	"github.com/golang-sql/civil"
)

// Cut is a planned cut with the moment from which its ground must stay dry.
type Cut struct {
	Field     string
	Date      civil.Date
	LastWater time.Time
	DryDays   int
}

// entryLength is how long an entry of the calendar lasts: the walk to the panel.
const entryLength = 15 * time.Minute

// WriteCalendar writes the starts and stops of a plan and the last water before
// each cut, all times in UTC. An entry's UID says which of a machine's coming
// passes it is, counted from now, so that reading a later plan into the same
// calendar moves the entries instead of adding to them. Passes after tomorrow are
// tentative.
func WriteCalendar(w io.Writer, p *report.Plan, cuts []Cut, s units.System) error {
	cal := ics.NewCalendar()
	cal.SetProductId("-//sandwick//run plan//EN")
	cal.SetMethod(ics.MethodPublish)
	cal.SetXWRCalName(p.Farm + ": run plan")
	made := time.Time(p.MadeAt).UTC()
	add := func(uid, summary, text string, at time.Time, sure bool) {
		e := cal.AddEvent(uid + "@" + token(p.Farm) + ".sandwick.invalid")
		e.SetDtStampTime(made)
		e.SetLastModifiedAt(made)
		e.SetSequence(int(made.Unix() / 60)) // a later plan counts higher
		e.SetStartAt(at.UTC().Round(time.Second))
		e.SetEndAt(at.UTC().Round(time.Second).Add(entryLength))
		e.SetSummary(summary)
		e.SetDescription(text)
		e.SetTimeTransparency(ics.TransparencyTransparent) // nobody is busy for it
		e.SetStatus(ics.ObjectStatusConfirmed)
		if !sure {
			e.SetStatus(ics.ObjectStatusTentative)
		}
	}
	nth := map[string]int{}
	for i := range p.Passes {
		pass := &p.Passes[i]
		nth[pass.Pivot]++
		uid := fmt.Sprintf("%s-pass-%d", token(pass.Pivot), nth[pass.Pivot])
		sure := p.Soon(pass)
		from, to := report.DegText(float64(pass.StartDeg)), report.DegText(float64(pass.StopDeg))
		way := fmt.Sprintf("%s from %s to %s degrees", turn(pass.Direction), from, to)
		if from == to {
			way = fmt.Sprintf("once round %s from %s degrees", turn(pass.Direction), from)
		}
		add(uid+"-start", "Start "+pass.Pivot+", "+way, passText(pass, s), time.Time(pass.Start), sure)
		add(uid+"-stop", "Stop "+pass.Pivot+" at "+to+" degrees",
			fmt.Sprintf("%s pumped in %s.", units.Volume.Text(s, float64(pass.VolumeM3)), units.Hours.Text(s, float64(pass.PumpHours))), time.Time(pass.End), sure)
	}
	for _, c := range cuts {
		add(token(c.Field)+"-cut-"+c.Date.String()+"-last-water", "Last water on "+c.Field+" before the cut",
			fmt.Sprintf("Cut planned %s; the ground is to be dry for %d days before it.", report.DayText(c.Date), c.DryDays), c.LastWater, true)
	}
	if err := cal.SerializeTo(w, ics.WithNewLineWindows); err != nil {
		return fmt.Errorf("writing the calendar: %w", err)
	}
	return nil
}

func turn(direction string) string {
	if direction == "ccw" {
		return "counter-clockwise"
	}
	return "clockwise"
}

// passText is the run card in a few lines.
func passText(p *report.Pass, s units.System) string {
	var b strings.Builder
	for i := range p.Legs {
		l := &p.Legs[i]
		water := "dry"
		if l.Water {
			water = units.Depth.Text(s, float64(l.GrossMM))
		}
		fmt.Fprintf(&b, "%d: %s to %s degrees, timer %s %%, %s, begins %s\n", i+1, report.DegText(float64(l.FromDeg)), report.DegText(float64(l.ToDeg)),
			report.TimerText(float64(l.TimerPct)), water, report.ClockText(time.Time(l.Start)))
	}
	if why := p.Why.Text(s); why != "" {
		fmt.Fprintf(&b, "Why: %s\n", why)
	}
	b.WriteString("Walk the path first. The plan is advice: local codes and licensed practice come first.")
	return b.String()
}

// token makes a name fit for an identifier: letters and digits as they are, all
// else by its number, so that two names never become one.
func token(name string) string {
	var b strings.Builder
	for _, r := range name {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, "_%x_", r)
		}
	}
	return b.String()
}
