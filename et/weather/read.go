// A weather file from text to checked days.

package weather

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/input"
)

// mappingAdvice is for whoever feeds a file from elsewhere.
const mappingAdvice = "or list it under ignore if it is not needed"

// Read reads a weather file, daily with a column date or hourly with a column
// time. With problems the Record holds what could be read, for further checks
// only. The Doubts are in the Record.
func Read(r io.Reader, o Options) (Record, input.Problems) {
	src, problems := input.OpenTable(r, input.TableOptions{
		File: o.File, Location: o.Location, Mapping: o.Mapping, Advice: mappingAdvice,
	})
	if src == nil {
		return Record{}, problems
	}
	rd := reader{opt: o}
	rec := Record{location: o.Location}
	daily, hourly := src.Has("date"), src.Has("time")
	switch {
	case daily && hourly:
		problems.Add(src.Pos(), "time", "", "date and time are both in the header; give date for one row a day or time for one row an hour")
		return rec, problems
	case hourly && o.Site == nil:
		problems.Add(src.Pos(), "time", "", "hourly rows need the site of the station: its latitude, longitude and elevation")
		return rec, problems
	case hourly:
		problems = rd.readHours(src, &rec)
	default:
		if !daily {
			problems.Add(src.Pos(), "date", "", "missing from the header; give date for one row a day or time for one row an hour")
		}
		problems = append(problems, rd.readDays(src, &rec)...)
	}
	rec.Doubts = rd.doubts.done()
	problems = append(problems, rd.problems...)
	problems.Sort()
	return rec, problems
}

// reader is one file while it is read.
type reader struct {
	opt      Options
	problems input.Problems
	doubts   doubts
}

// row is one row of a file, checked by itself.
type row[T any] struct {
	value  T // et.Day or et.Hour
	at     input.Pos
	field  string // the name of the date or time column
	values values
	column [quantities]int32
}

// pos is the place of one value of a row; the whole line of a row that lacks it.
func (r *row[T]) pos(q quantity) input.Pos {
	p := r.at
	p.Column = int(r.column[q])
	return p
}

func (rd *reader) readDays(src *input.Source, rec *Record) input.Problems {
	rows := make([]row[et.Day], 0, src.Room())
	h, problems := input.Decode(src, func(in *dayRow, ok bool, ps *input.Problems) {
		if in.Date.Value() == (civil.Date{}) {
			if ok && in.Date.Column != "" {
				*ps = append(*ps, in.Date.Problem("empty; every row needs it"))
			}
			return
		}
		out := row[et.Day]{at: in.Date.Pos, field: in.Date.Column}
		for q, cell := range in.cells() {
			out.values[q] = rd.inRange(cell, dayLimits[q])
			out.column[q] = int32(cell.Pos.Column)
		}
		rd.checkDay(in, &out.values)
		out.value = out.values.day(in.Date.Value())
		rows = append(rows, out)
	})
	if len(rows) == 0 {
		return problems
	}
	fractions(rd, h, rows)
	rows = ordered(rd, rows,
		func(a, b et.Day) int { return a.Date.DaysSince(b.Date) },
		func(d et.Day) string { return d.Date.String() })
	stuckRuns(rd, h, rows, stuckDays, "days",
		func(a, b et.Day) bool { return b.Date.DaysSince(a.Date) == 1 },
		func(d et.Day) string { return d.Date.String() })
	rec.grow(len(rows))
	for i := range rows {
		if !rd.upTo(rec, rows[i].value.Date, rows[i].at, rows[i].field) {
			return problems
		}
		rec.add(rows[i].value, rows[i].at, rows[i].values[chance]/100)
	}
	rd.rainColumn(h, rec)
	rd.fillTemperature(h, rec)
	return problems
}

func (rd *reader) readHours(src *input.Source, rec *Record) input.Problems {
	rows := make([]row[et.Hour], 0, src.Room())
	var last time.Time
	h, problems := input.Decode(src, func(in *hourRow, ok bool, ps *input.Problems) {
		start := in.Time.Value()
		if start.IsZero() {
			return
		}
		if start.Minute() != 0 || start.Second() != 0 {
			*ps = append(*ps, in.Time.Problem("not on the hour; give one row for each hour, like 2024-06-09T14:00"))
			return
		}
		if again := in.Time.Again(); !again.IsZero() {
			if start.Equal(last) {
				start = again // the second of two rows with this time
			} else if !last.Equal(start.Add(-time.Hour)) {
				rd.doubts.add("again", in.Time.Problem("clocks show this time twice; taken as the first, add the offset from UTC to tell"))
			}
		}
		last = start
		if rd.opt.HourEnding {
			start = start.Add(-time.Hour)
		}
		out := row[et.Hour]{at: in.Time.Pos, field: in.Time.Column}
		for q := range out.values {
			out.values[q] = math.NaN()
		}
		for i, cell := range in.cells() {
			c := hourColumns[i]
			out.values[c.q] = rd.inRange(cell, c.limit)
			out.column[c.q] = int32(cell.Pos.Column)
		}
		rd.checkHour(in, start, &out.values)
		out.value = out.values.hour(start)
		rows = append(rows, out)
	})
	if len(rows) == 0 {
		return problems
	}
	fractions(rd, h, rows)
	clock := func(h et.Hour) string { return h.Start.Format("2006-01-02T15:04") }
	rows = ordered(rd, rows, func(a, b et.Hour) int { return a.Start.Compare(b.Start) }, clock)
	stuckRuns(rd, h, rows, stuckHours, "hours",
		func(a, b et.Hour) bool { return b.Start.Sub(a.Start) == time.Hour }, clock)
	rd.doubtClock(h, rows)
	rec.Hours = make([]et.Hour, len(rows))
	for i := range rows {
		rec.Hours[i] = rows[i].value
	}
	next := 0
	for _, day := range rd.opt.Site.RollUp(et.FAO56, rd.opt.Location, rec.Hours) {
		at, field := rows[next].at, rows[next].field
		next += day.Hours
		if !rd.upTo(rec, day.Day.Date, at, field) {
			return problems
		}
		if day.Hours < day.Expected {
			rd.doubts.add("hours", input.Problem{Pos: at, Field: field, Msg: fmt.Sprintf(
				"%s has %d of its %d hours; what they do not give is marked as estimated", day.Day.Date, day.Hours, day.Expected)})
		}
		rec.add(day.Day, at, math.NaN())
	}
	rd.rainColumn(h, rec)
	rd.fillTemperature(h, rec)
	return problems
}

// add appends a day.
// grow makes room for so many days.
func (r *Record) grow(days int) {
	r.Days = slices.Grow(r.Days, days)
	r.DayPos = slices.Grow(r.DayPos, days)
	r.RainChance = slices.Grow(r.RainChance, days)
}

func (r *Record) add(d et.Day, at input.Pos, rainChance float64) {
	r.Days = append(r.Days, d)
	r.DayPos = append(r.DayPos, at)
	r.RainChance = append(r.RainChance, rainChance)
}

// upTo appends the missing days before date and tells of them. It gives up,
// false, on a gap that can only be a mistyped year.
func (rd *reader) upTo(rec *Record, date civil.Date, at input.Pos, field string) bool {
	if len(rec.Days) == 0 {
		return true
	}
	from := rec.Days[len(rec.Days)-1].Date.AddDays(1)
	n := date.DaysSince(from)
	switch {
	case n == 0:
		return true
	case n > longestGap:
		rd.problems.Add(at, field, date.String(), "%d days after the row before it in time; a gap of more than %d days is taken for a mistyped year", n+1, longestGap)
		return false
	}
	rd.doubts.add("gap", input.Problem{Pos: at, Field: field, Msg: "no row for " + span(from, date.AddDays(-1)) + " before this one"})
	for i := range n {
		rec.add(et.MissingDay(from.AddDays(i)), at.WholeLine(), math.NaN())
	}
	return true
}

// span words a run of days: "2024-06-01" or "3 days, 2024-06-01 to 2024-06-03".
func span(from, to civil.Date) string {
	if n := to.DaysSince(from) + 1; n > 1 {
		return fmt.Sprintf("%d days, %s to %s", n, from, to)
	}
	return from.String()
}

// ordered sorts the rows by time and drops those that stand twice; a row that
// stands twice with different values is a problem.
func ordered[T any](rd *reader, rows []row[T], compare func(a, b T) int, name func(T) string) []row[T] {
	for i := 1; i < len(rows); i++ {
		if compare(rows[i].value, rows[i-1].value) < 0 {
			rd.doubts.add("order", input.Problem{Pos: rows[i].at, Field: rows[i].field, Got: name(rows[i].value),
				Msg: "earlier than the row before it; rows were put in order"})
		}
	}
	slices.SortStableFunc(rows, func(a, b row[T]) int {
		return cmp.Or(compare(a.value, b.value), a.at.Compare(b.at))
	})
	kept := rows[:1]
	for _, r := range rows[1:] {
		first := &kept[len(kept)-1]
		if compare(r.value, first.value) != 0 {
			kept = append(kept, r)
			continue
		}
		p := input.Problem{Pos: r.at, Field: r.field, Got: name(r.value)}
		if same(r.values, first.values) {
			p.Msg = fmt.Sprintf("stands twice with the same values, first on line %d; one was dropped", first.at.Line)
			rd.doubts.add("twice", p)
		} else {
			p.Msg = fmt.Sprintf("stands twice with different values, first on line %d; keep the right one", first.at.Line)
			rd.problems = append(rd.problems, p)
		}
	}
	return kept
}

// same compares values with NaN equal to itself.
func same(a, b values) bool {
	for q := range a {
		if a[q] != b[q] && !(math.IsNaN(a[q]) && math.IsNaN(b[q])) {
			return false
		}
	}
	return true
}
