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
	withinPart  = 0.05 // of its span: how much further within it, where only its ends are known
	shortestMin = 1    // a stretch shorter than the minutes of the records is none

	// slack is how far the times of a log and of a pass recorded before may differ.
	slack = 2 * time.Minute
)

// ImportPasses is the batch that takes over the passes of one machine from its
// panel's log. What passes.csv has already is left alone, and of a leg of which
// it has a part only the rest is recorded: so a log may be taken over again and
// again as it grows, day by day and in any order, a leg still under way at its
// end being recorded up to there. Where a log begins or ends between two rows of
// a turn that passes.csv has the other end of, the turn between is recorded too.
// A leg that overlaps a pass and is at odds with it is a problem, and then
// nothing is recorded.
func (w *Writer) ImportPasses(from Import, words LogWords, taken *Taken) Batch {
	return Batch{File: PassesFile, What: "the passes of " + from.File, Prepare: func(b *Batch) error {
		m := w.Farm.machine(from.Name)
		samples, problems := w.samples(from, words)
		if len(problems) > 0 {
			return problems
		}
		known, problems := w.Passes(m.Name)
		if len(problems) > 0 {
			return problems
		}
		samples, gap := bridged(m, samples, known)
		legs, open, problems := legsOf(m, samples)
		if len(problems) > 0 {
			return problems
		}
		if gap != nil {
			first := &samples[0]
			taken.Notes = append(taken.Notes, fmt.Sprintf("between the pass recorded until %s and the first row of the log, %s, the arm turned %.3g degrees, and nothing tells how it was set: record that by hand, or take over a log that has both",
				Clock(gap.at, w.Farm.Location), Clock(first.at, w.Farm.Location), apart(gap.azimuth, first.azimuth)))
		}
		for i := range legs {
			leg := &legs[i]
			rest, other := leg.beyond(known)
			switch {
			case other != nil:
				problems.Add(leg.pos, "", "", "disagrees with line %d of %s: from the log %s to %s, %.4g to %.4g degrees, timer %s, water %s; there %s to %s, %.4g to %.4g, timer %s, water %s",
					other.Pos.Line, PassesFile, Clock(leg.Start, w.Farm.Location), Clock(leg.End, w.Farm.Location), float64(leg.From), float64(leg.To), percent(leg.TimerPct), yesNo(leg.Water),
					Clock(other.Start, w.Farm.Location), Clock(other.End, w.Farm.Location), float64(other.From), float64(other.To), percent(other.TimerPct), yesNo(other.Water))
			case len(rest) == 0:
				taken.Known++
			default:
				t := Trip{Machine: m, Location: w.Farm.Location, Clockwise: leg.clockwise}
				b.Rows = append(b.Rows, t.Entries(rest)...)
				for range rest {
					b.At = append(b.At, leg.pos)
				}
				if open && i == len(legs)-1 && rest[len(rest)-1].End.Equal(leg.End) {
					taken.Notes = append(taken.Notes, fmt.Sprintf("the leg that began %s was still under way at the end of the log, %s: recorded up to there; a later log adds the rest",
						Clock(leg.Start, w.Farm.Location), Clock(leg.End, w.Farm.Location)))
				}
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
	way       []waypoint
}

// waypoint is how far a leg had turned at a row of the log.
type waypoint struct {
	at     time.Time
	turned float64
}

// legsOf puts the rows of a log together: a leg goes on as long as the arm
// turns the same way with the same settings. open tells that the last leg may
// go on after the log's end.
func legsOf(m *pivot.Machine, samples []sample) (legs []logLeg, open bool, problems input.Problems) {
	var leg *logLeg
	end := func() (ended bool) {
		if leg != nil && leg.End.Sub(leg.Start) >= shortestMin*time.Minute && leg.turned > stillDeg {
			legs, ended = append(legs, *leg), true
		}
		leg = nil
		return ended
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
			leg = &logLeg{Stretch: Stretch{Start: a.at, From: a.azimuth, TimerPct: a.timer, Water: a.water}, pos: a.pos, clockwise: cw, way: []waypoint{{at: a.at}}}
		}
		leg.End, leg.To = b.at, b.azimuth
		leg.turned += turn
		leg.way = append(leg.way, waypoint{b.at, leg.turned})
	}
	open = end()
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

// alike tells whether two timer settings are the same but for rounding; one that
// is not known may be any.
func alike(a, b float64) bool {
	return math.IsNaN(a) || math.IsNaN(b) || math.Abs(a-b) <= 2*timerSame
}

// bridged are the rows of a log with those before its first and after its last
// that the passes recorded tell of, where the arm turned on between: the log of
// a day does not have the turn across midnight whole. How the arm was set after
// the last row is told by that row; before the first it is known only where it
// was set the same on either side, or else note says what is missing.
func bridged(m *pivot.Machine, samples []sample, known []Pass) (out []sample, note *sample) {
	if len(samples) == 0 {
		return samples, nil
	}
	first, last := samples[0], samples[len(samples)-1]
	if i := slices.IndexFunc(known, func(p Pass) bool { return p.End.After(last.at) }); i >= 0 && !known[i].Start.Before(last.at) {
		p := &known[i]
		s := sample{pos: last.pos, at: p.Start, azimuth: p.From, timer: last.timer, water: last.water}
		if turnedOn(m, &last, &s) {
			samples = append(slices.Clip(samples), s)
		}
	}
	i, _ := slices.BinarySearchFunc(known, first.at, func(p Pass, t time.Time) int { return p.Start.Compare(t) })
	if i == 0 || known[i-1].End.After(first.at) {
		return samples, nil
	}
	p := &known[i-1]
	s := sample{pos: first.pos, at: p.End, azimuth: p.To, timer: first.timer, water: first.water}
	same := p.Water == first.water && alike(p.TimerPct, first.timer)
	if !same {
		s.timer = math.NaN()
	}
	switch {
	case !turnedOn(m, &s, &first):
	case same:
		samples = slices.Insert(slices.Clone(samples), 0, s)
	default:
		note = &s
	}
	return samples, note
}

// turnedOn tells whether an arm that turned all the time from a to b, as set in
// a, would have come to b. Without a timer only its slowest and fastest are known.
func turnedOn(m *pivot.Machine, a, b *sample) bool {
	took, turn := b.at.Sub(a.at), apart(a.azimuth, b.azimuth)
	if took < shortestMin*time.Minute || turn <= stillDeg || took.Hours() > m.HoursAtFull*100/m.TimerMaxPct/2 {
		return false
	}
	fast, slow := a.timer, a.timer
	if math.IsNaN(a.timer) {
		fast, slow = m.TimerMaxPct, m.TimerMinPct
	}
	by := func(timer float64) float64 { return took.Hours() / m.HoursAtFull * 360 * timer / 100 }
	return turn >= by(slow)/paceLeeway-2*stillDeg && turn <= by(fast)*paceLeeway+2*stillDeg
}

// at is how far the leg had turned at an instant.
func (l *logLeg) at(t time.Time) float64 {
	i, exact := slices.BinarySearchFunc(l.way, t, func(w waypoint, t time.Time) int { return w.at.Compare(t) })
	switch {
	case exact:
		return l.way[i].turned
	case i == 0:
		return 0
	case i == len(l.way):
		return l.turned
	}
	a, b := l.way[i-1], l.way[i]
	return a.turned + (b.turned-a.turned)*float64(t.Sub(a.at))/float64(b.at.Sub(a.at))
}

// arm is where the arm stood when the leg had turned so far.
func (l *logLeg) arm(turned float64) pivot.Azimuth {
	if !l.clockwise {
		turned = -turned
	}
	return l.From.Add(turned)
}

// beyond holds a leg of a log against the passes recorded, in order, and gives
// what of it they do not have; or the pass that it is at odds with.
func (l *logLeg) beyond(known []Pass) (rest []Stretch, other *Pass) {
	from, start := l.From, l.Start // where what is not known yet begins
	until := func(to pivot.Azimuth, end time.Time) {
		turned := l.at(end) - l.at(start)
		// What a minute or a tenth of a degree makes is none, but a short leg of its own is one.
		whole := start.Equal(l.Start) && end.Equal(l.End)
		if !whole && (end.Sub(start) <= slack || turned <= 2*stillDeg) {
			return
		}
		rest = append(rest, Stretch{Start: start, End: end, From: from, To: to, TimerPct: l.TimerPct, Water: l.Water})
	}
	for i := range known {
		p := &known[i]
		begin, end := Latest(l.Start, p.Start), Earliest(l.End, p.End)
		if !begin.Before(end) {
			continue
		}
		if end.Sub(begin) > slack || end.Sub(begin) >= l.End.Sub(l.Start)-slack {
			same := p.Clockwise == l.clockwise && p.Water == l.Water && alike(p.TimerPct, l.TimerPct)
			for _, t := range []time.Time{begin, end} {
				same = same && apart(p.armAt(t), l.arm(l.at(t))) <= p.leeway(t)
			}
			if !same {
				return nil, p
			}
		}
		// The rest joins the pass where it is the log's own to within its reading.
		joined := func(pass pivot.Azimuth, t time.Time) pivot.Azimuth {
			if arm := l.arm(l.at(t)); apart(pass, arm) > stillDeg {
				return arm
			}
			return pass
		}
		if p.Start.After(start) {
			until(joined(p.From, p.Start), p.Start)
		}
		from, start = joined(p.armAt(end), end), end
	}
	if start.Before(l.End) {
		until(l.To, l.End)
	}
	return rest, nil
}

// armAt is where the arm stood by a pass at an instant of it.
func (p *Pass) armAt(t time.Time) pivot.Azimuth {
	switch {
	case t.Equal(p.Start):
		return p.From
	case t.Equal(p.End):
		return p.To
	}
	part := t.Sub(p.Start).Hours() / p.Hours() * p.Arc().Span()
	if !p.Clockwise {
		part = -part
	}
	return p.From.Add(part)
}

// leeway is how far a log may be off a pass at an instant of it.
func (p *Pass) leeway(t time.Time) float64 {
	if t.Equal(p.Start) || t.Equal(p.End) {
		return coveredDeg
	}
	return coveredDeg + withinPart*p.Arc().Span()
}

// Latest is the later of two instants.
func Latest(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// Earliest is the sooner of two instants.
func Earliest(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
