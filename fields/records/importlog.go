// The exported log of a machine's panel as passes. A log has a row at every
// so many minutes, or whenever something changed: the time, where the arm
// stood, and how it was set. Between two rows the arm turned by the shorter
// way, as set in the first of them.

package records

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/et/input"
	"sandwick/pivot"
)

// LogWords are the words that a log has for water on and off; none: yes and no.
type LogWords struct {
	TimeFormat string
	On, Off    []string
}

type logRow struct {
	Time    input.Text   `csv:"time" need:"cell"`
	Pivot   input.Text   `csv:"pivot"`
	Azimuth input.Number `csv:"azimuth" unit:"angle" need:"cell"`
	Timer   input.Number `csv:"timer" unit:"percent"`
	Water   input.Text   `csv:"water_on" need:"cell"`
}

// sample is one row of a log.
type sample struct {
	pos     input.Pos
	at      time.Time
	azimuth pivot.Azimuth
	timer   float64 // NaN: not given
	water   bool
}

const (
	stillDeg    = 0.35 // a turn below what a panel's resolver tells apart; common practice, no published source
	timerSame   = 0.5  // percent
	paceLeeway  = 1.15 // how much faster than its fastest timer an arm may seem to turn
	coveredDeg  = 3.0  // how far a log may be off a pass recorded before
	shortestMin = 1    // a stretch shorter than the minutes of the records is none
)

// ImportPasses is the batch that takes over the passes of one machine from its
// panel's log. A leg still under way at the end of the log is left for the next
// time, so that a log may be taken over again and again as it grows. Legs that
// passes.csv has already are left alone; a leg that overlaps a pass and is not
// the same is a problem, and then nothing is recorded.
func (w *Writer) ImportPasses(from Import, words LogWords, taken *Taken) Batch {
	return Batch{File: PassesFile, What: "the passes of " + from.File, Prepare: func(b *Batch) error {
		m := w.Farm.machine(from.Name)
		samples, problems := w.samples(from, words)
		if len(problems) > 0 {
			return problems
		}
		legs, open, problems := legsOf(m, samples)
		if len(problems) > 0 {
			return problems
		}
		known, problems := w.Passes(m.Name)
		if len(problems) > 0 {
			return problems
		}
		if open != nil {
			taken.Notes = append(taken.Notes, fmt.Sprintf("the leg that began %s was still under way at the end of the log: left for the next import", Clock(open.Start, w.Farm.Location)))
		}
		for _, leg := range legs {
			same, covered, other := compare(&leg, m, known)
			switch {
			case same || covered:
				taken.Known++
			case other != nil:
				problems.Add(leg.pos, "", "", "disagrees with line %d of %s: from the log %s to %s, %.4g to %.4g degrees, timer %s, water %s; there %s to %s, %.4g to %.4g, timer %s, water %s",
					other.Pos.Line, PassesFile, Clock(leg.Start, w.Farm.Location), Clock(leg.End, w.Farm.Location), float64(leg.From), float64(leg.To), percent(leg.TimerPct), yesNo(leg.Water),
					Clock(other.Start, w.Farm.Location), Clock(other.End, w.Farm.Location), float64(other.From), float64(other.To), percent(other.TimerPct), yesNo(other.Water))
			default:
				t := Trip{Machine: m, Location: w.Farm.Location, Clockwise: leg.clockwise}
				b.Rows = append(b.Rows, t.Entries([]Stretch{leg.Stretch})...)
				b.At = append(b.At, leg.pos)
			}
		}
		taken.New = len(b.Rows)
		return problems.Err()
	}}
}

func percent(v float64) string {
	if math.IsNaN(v) {
		return "not given"
	}
	return number(v) + " %"
}

func yesNo(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}

// samples reads the rows of a log, in order of time, each time once.
func (w *Writer) samples(from Import, words LogWords) ([]sample, input.Problems) {
	var out []sample
	_, problems := input.EachRow(from.Text, input.TableOptions{
		File: from.File, Location: w.Farm.Location, Mapping: from.Mapping, Advice: importAdvice("passes"),
	}, func(row *logRow, ok bool, ps *input.Problems) {
		if !ok || row.Pivot.Given() && !strings.EqualFold(row.Pivot.Value(), from.Name) {
			return
		}
		s := sample{pos: row.Time.Pos.WholeLine(), azimuth: pivot.Azimuth(row.Azimuth.Value()).Norm(), timer: row.Timer.Value()}
		if err := between(row.Azimuth, input.Unit{Mul: 1, Div: 1}, 0, 360); err != nil {
			ps.AddError(s.pos, "", "", err)
			return
		}
		if err := between(row.Timer, input.Unit{Mul: 1, Div: 1}, 0, 100); err != nil {
			ps.AddError(s.pos, "", "", err)
			return
		}
		var err error
		if s.water, err = words.water(row.Water); err != nil {
			ps.AddError(s.pos, "", "", err)
			return
		}
		iso, err := input.ParseTimeLike(row.Time.Value(), words.TimeFormat)
		if err != nil {
			*ps = append(*ps, row.Time.Problem(err.Error()+"; time_format under [imports.passes] says how times are written"))
			return
		}
		clock, err := input.ParseClock(iso)
		if err != nil {
			*ps = append(*ps, row.Time.Problem(err.Error()))
			return
		}
		first, again, err := clock.In(w.Farm.Location)
		if err != nil {
			*ps = append(*ps, row.Time.Problem(err.Error()))
			return
		}
		s.at = first
		// When clocks are put back a log goes on: the second time is meant as
		// soon as the first would be before the row above.
		if n := len(out); n > 0 && !again.IsZero() && first.Before(out[n-1].at) && !again.Before(out[n-1].at) {
			s.at = again
		}
		out = append(out, s)
	})
	slices.SortStableFunc(out, func(a, b sample) int { return a.at.Compare(b.at) })
	for i := 1; i < len(out); i++ {
		// Two rows of one time: the later one tells how things were set from then on.
		if a, b := &out[i-1], &out[i]; a.at.Equal(b.at) && apart(a.azimuth, b.azimuth) > stillDeg {
			problems.Add(b.pos, "", "", "the arm is at %.4g degrees here and at %.4g in line %d, at the same time", float64(b.azimuth), float64(a.azimuth), a.pos.Line)
		}
	}
	return out, problems
}

func (l LogWords) water(c input.Text) (bool, error) {
	fold := func(list []string) bool {
		return slices.ContainsFunc(list, func(w string) bool { return strings.EqualFold(w, c.Value()) })
	}
	switch {
	case len(l.On) == 0:
		v, err := input.ParseYesNo(c.Value())
		if err != nil {
			return false, c.Problem("neither yes nor no; name the log's own words in farm.toml under [imports.passes]: on = [...], off = [...]")
		}
		return v, nil
	case fold(l.On):
		return true, nil
	case fold(l.Off):
		return false, nil
	}
	return false, c.Problem("unknown word; under [imports.passes] farm.toml has " + input.OrList(slices.Concat(l.On, l.Off)))
}

func apart(a, b pivot.Azimuth) float64 { return min(a.Clockwise(b), b.Clockwise(a)) }

// logLeg is a stretch found in a log.
type logLeg struct {
	Stretch
	pos       input.Pos // of the row that it begins in
	clockwise bool
	turned    float64
}

// legsOf puts the rows of a log together: a leg goes on as long as the arm
// turns the same way with the same settings. open is the leg that may go on
// after the log's end.
func legsOf(m *pivot.Machine, samples []sample) (legs []logLeg, open *logLeg, problems input.Problems) {
	var leg *logLeg
	end := func() {
		if leg != nil && leg.End.Sub(leg.Start) >= shortestMin*time.Minute && leg.turned > stillDeg {
			legs = append(legs, *leg)
		}
		leg = nil
	}
	fastest := m.HoursAtFull * 100 / m.TimerMaxPct // hours for a turn
	samples = thinned(m, samples)
	for i := 1; i < len(samples); i++ {
		a, b := &samples[i-1], &samples[i]
		took := b.at.Sub(a.at).Hours()
		cw, turn := true, a.azimuth.Clockwise(b.azimuth)
		if turn > 180 {
			cw, turn = false, 360-turn
		}
		switch {
		case turn <= stillDeg && (leg == nil || a.reach(m, b) >= 2*stillDeg): // it stands
			end()
			continue
		case turn <= stillDeg: // too soon to tell: it goes on
			cw = leg.clockwise
		case took > fastest/2*paceLeeway:
			problems.Add(b.pos, "", "", "%.1f hours after the row before it the arm is %.4g degrees away and may have turned either way; a log with a row at least every %.0f hours is accepted", took, turn, math.Floor(fastest/2))
			end()
			continue
		case took*paceLeeway < turn/360*fastest && turn > coveredDeg:
			problems.Add(b.pos, "", "", "the arm turned %.4g degrees in %.2g hours, faster than %s can", turn, took, m.Name)
			end()
			continue
		}
		sameTimer := leg != nil && (math.Abs(leg.TimerPct-a.timer) <= timerSame || math.IsNaN(leg.TimerPct) && math.IsNaN(a.timer))
		if leg != nil && (leg.clockwise != cw || leg.Water != a.water || !sameTimer || leg.turned+turn > 360+stillDeg) {
			end()
		}
		if leg == nil {
			leg = &logLeg{Stretch: Stretch{Start: a.at, From: a.azimuth, TimerPct: a.timer, Water: a.water}, pos: a.pos, clockwise: cw}
		}
		leg.End, leg.To = b.at, b.azimuth
		leg.turned += turn
	}
	if leg != nil {
		open = leg
	}
	for i := range legs {
		l := &legs[i]
		l.Start, l.End = l.Start.Round(time.Minute), l.End.Round(time.Minute)
		l.From, l.To = pivot.Azimuth(tenth(l.From)), pivot.Azimuth(tenth(l.To))
		if l.turned >= 360-stillDeg { // a whole turn, to where it began
			l.To = l.From
		}
	}
	return legs, open, problems
}

// reach is how far the arm would turn between two rows if it moved.
func (a *sample) reach(m *pivot.Machine, b *sample) float64 {
	timer := a.timer
	if !(timer > 0) {
		timer = m.TimerMinPct
	}
	return b.at.Sub(a.at).Hours() / (m.HoursAtFull / 360 * 100 / timer)
}

// thinned leaves out rows that follow so soon that an arm on the move could not
// be told from one that stands, unless they tell of other settings.
func thinned(m *pivot.Machine, samples []sample) []sample {
	var out []sample
	for i := range samples {
		s := &samples[i]
		if n := len(out); n > 0 && i < len(samples)-1 {
			last := &out[n-1]
			alike := last.water == s.water && (last.timer == s.timer || math.IsNaN(last.timer) && math.IsNaN(s.timer))
			if alike && last.reach(m, s) < 2*stillDeg {
				continue
			}
		}
		out = append(out, *s)
	}
	return out
}

// compare holds a leg of a log against the passes recorded: the same, within
// one that says the same, or at odds with one.
func compare(leg *logLeg, m *pivot.Machine, known []Pass) (same, covered bool, other *Pass) {
	for i := range known {
		p := &known[i]
		if !leg.Start.Before(p.End) || !p.Start.Before(leg.End) {
			continue
		}
		alike := p.Clockwise == leg.clockwise && p.Water == leg.Water &&
			(math.IsNaN(p.TimerPct) || math.IsNaN(leg.TimerPct) || math.Abs(p.TimerPct-leg.TimerPct) <= 2*timerSame)
		// Where the arm stood by that pass when this leg began and ended.
		at := func(t time.Time) pivot.Azimuth {
			part := t.Sub(p.Start).Hours() / p.Hours() * p.Arc().Span()
			if !p.Clockwise {
				part = -part
			}
			return p.From.Add(part)
		}
		slack := 2 * time.Minute
		inside := !leg.Start.Before(p.Start.Add(-slack)) && !leg.End.After(p.End.Add(slack))
		if alike && inside && apart(at(leg.Start), leg.From) <= coveredDeg && apart(at(leg.End), leg.To) <= coveredDeg {
			return leg.Start.Equal(p.Start) && leg.End.Equal(p.End), true, nil
		}
		other = p
	}
	return false, false, other
}
