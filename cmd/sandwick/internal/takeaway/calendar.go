// Package takeaway writes a plan in the open forms that other programs read: a
// calendar (RFC 5545) and a map (RFC 7946).
package takeaway

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
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

// Former is the calendar that a new one takes the place of, to cancel what is not
// planned any more. Without a text, or with one that is no calendar of the same farm,
// nothing is cancelled.
type Former struct {
	Text           []byte
	Pivots, Fields []string // what the new one is about; entries of others stand
}

// notPlanned begins the summary of an entry that is cancelled: not every calendar
// shows that it is.
const notPlanned = "Not planned any more: "

// WriteCalendar writes the starts and stops of a plan and the last water before
// each cut, all times in UTC. An entry's UID says which of a machine's coming
// passes it is, counted from now, so that reading a later plan into the same
// calendar moves the entries instead of adding to them. Those that the one before
// has and this one has not are cancelled (RFC 5545, 3.8.1.11) until their time has
// passed. Passes after tomorrow are tentative.
func WriteCalendar(w io.Writer, p *report.Plan, cuts []Cut, s units.System, before Former) error {
	cal := ics.NewCalendar()
	cal.SetProductId("-//sandwick//run plan//EN")
	cal.SetMethod(ics.MethodPublish)
	cal.SetXWRCalName(p.Farm + ": run plan")
	made := time.Time(p.MadeAt).UTC()
	of := "@" + token(p.Farm) + ".sandwick.invalid"
	old := before.entries(of)
	issued := map[string]bool{}
	event := func(uid string) *ics.VEvent {
		issued[uid] = true
		e := cal.AddEvent(uid)
		e.SetDtStampTime(made)
		e.SetLastModifiedAt(made)
		sequence := int(made.Unix() / 60) // a later plan counts higher
		if was, ok := old[uid]; ok {
			sequence = max(sequence, was.sequence+1)
		}
		e.SetSequence(sequence)
		return e
	}
	add := func(uid, summary, text string, at time.Time, sure bool) {
		e := event(uid + of)
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
	for _, uid := range slices.Sorted(maps.Keys(old)) {
		was := old[uid]
		if issued[uid] || !was.at.After(made) {
			continue
		}
		e := event(uid)
		e.SetStartAt(was.at)
		e.SetEndAt(was.at.Add(entryLength))
		e.SetSummary(notPlanned + strings.TrimPrefix(was.summary, notPlanned))
		e.SetTimeTransparency(ics.TransparencyTransparent)
		e.SetStatus(ics.ObjectStatusCancelled)
	}
	if err := cal.SerializeTo(w, ics.WithNewLineWindows); err != nil {
		return fmt.Errorf("writing the calendar: %w", err)
	}
	return nil
}

// entry is what must be known of an entry to cancel it.
type entry struct {
	at       time.Time
	summary  string
	sequence int
}

// entries are those of the former calendar by UID: of this farm, and of the pivots
// and fields that the new one is about.
func (f *Former) entries(of string) map[string]entry {
	list := map[string]entry{}
	cal, err := ics.ParseCalendar(bytes.NewReader(f.Text))
	if err != nil {
		return list // whatever it is, it is written over
	}
	ours := func(uid string) bool {
		key, ok := strings.CutSuffix(uid, of)
		has := func(name, kind string) bool { return strings.HasPrefix(key, token(name)+kind) }
		return ok && (slices.ContainsFunc(f.Pivots, func(name string) bool { return has(name, "-pass-") }) ||
			slices.ContainsFunc(f.Fields, func(name string) bool { return has(name, "-cut-") }))
	}
	for _, e := range cal.Events() {
		at, err := e.GetStartAt()
		if err != nil || !ours(e.Id()) {
			continue
		}
		known := entry{at: at.UTC()}
		if p := e.GetProperty(ics.ComponentPropertySummary); p != nil {
			known.summary = ics.FromText(p.Value)
		}
		if p := e.GetProperty(ics.ComponentPropertySequence); p != nil {
			known.sequence, _ = strconv.Atoi(p.Value) // 0 where it is none: RFC 5545, 3.8.7.4
		}
		list[e.Id()] = known
	}
	return list
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
