// records/passes.csv: what the machines really did.

package records

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/pivot"
)

// Pass is one trip, or part of one, at an even speed.
type Pass struct {
	Pos        input.Pos
	Pivot      string
	Start, End time.Time
	From, To   pivot.Azimuth // From == To: a full turn
	Clockwise  bool
	TimerPct   float64 // as written; NaN: not written
	Water      bool
	EndByTimer bool // End is not written: it follows from the timer
	Note       string
}

// Arc is the ground that the pass covers.
func (p *Pass) Arc() pivot.Arc { return pivot.Swept(p.From, p.To, p.Clockwise) }

// Hours is how long it took.
func (p *Pass) Hours() float64 { return p.End.Sub(p.Start).Hours() }

type passRow struct {
	Pivot     input.Text   `csv:"pivot" need:"cell"`
	Start     input.Time   `csv:"start" need:"cell"`
	End       input.Time   `csv:"end" need:"column"`
	From      input.Number `csv:"from" unit:"angle" need:"cell"`
	To        input.Number `csv:"to" unit:"angle" need:"cell"`
	Direction input.Text   `csv:"direction"`
	Timer     input.Number `csv:"timer" unit:"percent"`
	Water     input.YesNo  `csv:"water" need:"cell"`
	Note      input.Text   `csv:"note"`
}

// Limits beyond which a pass is doubted. Common practice, no published source.
const (
	maxPassHours   = 15 * 24.0
	paceSlack      = 0.10 // of the time by the timer
	paceSlackHours = 0.5
	jumpDeg        = 5.0 // between where one pass ends and the next begins
)

func (rd *reader) passes() []Pass {
	var out []Pass
	// Of each row, by its line, the cells that a neighbour may put in doubt.
	cells := map[int]struct{ start, from input.Cell }{}
	names := rd.farm.pivots()
	file(rd, PassesFile, func(row *passRow) error {
		p, err := rd.pass(row, names)
		if err != nil {
			return err
		}
		rd.seasonal(civil.DateOf(p.Start), p.Pos)
		cells[p.Pos.Line] = struct{ start, from input.Cell }{row.Start.Cell, row.From.Cell}
		out = append(out, p)
		return nil
	})
	slices.SortStableFunc(out, func(a, b Pass) int {
		return cmp.Or(strings.Compare(a.Pivot, b.Pivot), a.Start.Compare(b.Start))
	})
	for i := 1; i < len(out); i++ {
		a, b := &out[i-1], &out[i]
		if a.Pivot != b.Pivot {
			continue
		}
		row := cells[b.Pos.Line]
		if b.Start.Before(a.End) {
			rd.problems = append(rd.problems, row.start.Problem(fmt.Sprintf("begins before the pass of line %d ends, %s; passes of one machine may not overlap",
				a.Pos.Line, a.End.In(rd.farm.Location).Format("2006-01-02T15:04"))))
			continue
		}
		if apart := min(a.To.Clockwise(b.From), b.From.Clockwise(a.To)); apart > jumpDeg {
			rd.doubt(row.from, "is not where the pass of line %d left the arm, %.4g; a pass may be missing between them", a.Pos.Line, float64(a.To))
		}
	}
	rd.strained = rd.overdrawn(out)
	rd.doubtOverdrawn(rd.strained, func(i int) input.Cell { return cells[out[i].Pos.Line].start })
	return out
}

func (rd *reader) pass(row *passRow, names []string) (Pass, error) {
	p := Pass{
		Pos: row.Pivot.Pos.WholeLine(), Start: row.Start.Value(), End: row.End.Value(),
		TimerPct: row.Timer.Value(), Water: row.Water.Value(), Note: row.Note.Value(),
	}
	name, err := named(row.Pivot, "pivot", names)
	if err != nil {
		return p, err
	}
	p.Pivot = name
	m := rd.farm.machine(name)
	for _, n := range []input.Number{row.From, row.To} {
		if err := between(n, input.Unit{Mul: 1, Div: 1}, 0, 360); err != nil {
			return p, err
		}
	}
	p.From, p.To = pivot.Azimuth(row.From.Value()).Norm(), pivot.Azimuth(row.To.Value()).Norm()
	switch way, err := row.Direction.OneOf("cw", "ccw"); {
	case err != nil:
		return p, err
	case way == "" && m.Reversible:
		c := row.Pivot.Cell
		c.Column, c.Text = "direction", ""
		return p, c.Problem("is missing, and the machine runs both ways; give cw or ccw")
	default:
		p.Clockwise = way != "ccw"
	}
	if !m.CanTravel(p.From, p.To, p.Clockwise) {
		if !p.Clockwise && !m.Reversible {
			return p, row.Direction.Problem("the machine runs clockwise only")
		}
		return p, row.To.Problem(fmt.Sprintf("the way there leaves the part circle of %s, %.4g to %.4g", name, float64(m.Stops.From), float64(m.Stops.To)))
	}
	if row.Timer.Given() && !(p.TimerPct >= m.TimerMinPct && p.TimerPct <= m.TimerMaxPct) {
		return p, row.Timer.Problem(fmt.Sprintf("is outside the timer's range of %s, %.4g to %.4g", name, m.TimerMinPct, m.TimerMaxPct))
	}
	if !row.End.Given() {
		if !row.Timer.Given() {
			c := row.Start.Cell
			c.Column, c.Text = "end", ""
			return p, c.Problem("is missing; give the end of the pass or its timer_pct")
		}
		p.EndByTimer = true
		hours := m.PassHours(p.Arc(), p.TimerPct)
		if !(hours > 0) {
			hours = 1 // what is wrong with the machine is told in its own file
		}
		p.End = p.Start.Add(time.Duration(hours * float64(time.Hour)))
	}
	if !p.End.After(p.Start) {
		// Clocks put back: the later of two instants with one reading may be meant.
		if again := row.End.Again(); again.After(p.Start) {
			p.End = again
		} else {
			return p, row.End.Problem("does not come after the start, " + row.Start.Text)
		}
	}
	rd.doubtPace(row, &p, m)
	return p, nil
}

// doubtPace holds times and timer against what the machine can do.
func (rd *reader) doubtPace(row *passRow, p *Pass, m *pivot.Machine) {
	if !row.Start.Again().IsZero() {
		rd.doubt(row.Start.Cell, "comes twice that night; the first is meant unless an offset such as -05:00 follows")
	}
	hours := p.Hours()
	if hours > maxPassHours {
		rd.doubt(row.End.Cell, "makes a pass of %.0f hours", hours)
	}
	if p.EndByTimer {
		return
	}
	if fastest := m.PassHours(p.Arc(), m.TimerMaxPct); hours < fastest*(1-paceSlack) {
		rd.doubt(row.End.Cell, "makes a pass of %.1f hours; %s needs %.1f at its fastest", hours, m.Name, fastest)
		return
	}
	if row.Timer.Given() {
		if by := m.PassHours(p.Arc(), p.TimerPct); math.Abs(by-hours) > max(paceSlack*by, paceSlackHours) {
			rd.doubt(row.Timer.Cell, "would take %.1f hours, the times written say %.1f; the times are used", by, hours)
		}
	}
}
