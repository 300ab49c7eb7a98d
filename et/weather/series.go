// Checks that go down a column, and the filling of short gaps.

package weather

import (
	"fmt"
	"math"

	"sandwick/et"
	"sandwick/et/input"
)

// columnKeys are the base names of the columns, by quantity. temp and rh of
// hourly files have their own.
var columnKeys = [quantities]string{"tmax", "tmin", "tdew", "tdry", "twet", "rhmax", "rhmin", "rhmean",
	"wind", "solar", "sunshine", "rain", "rain_chance"}

// columnOf finds a column of the file by quantity.
func columnOf(h input.Header, q quantity) (input.Column, bool) {
	if c, ok := h.Column(columnKeys[q]); ok {
		return c, true
	}
	switch q {
	case temp:
		return h.Column("temp")
	case rh:
		return h.Column("rh")
	}
	return input.Column{}, false
}

// fractions reports a humidity column that is written as 0 to 1.
func fractions[T any](rd *reader, h input.Header, rows []row[T]) {
	for _, q := range []quantity{rhmax, rhmin, rhmean} {
		most, n := math.Inf(-1), 0
		for i := range rows {
			if v := rows[i].values[q]; !math.IsNaN(v) {
				most = max(most, v)
				n++
			}
		}
		if c, ok := columnOf(h, q); ok && n >= fractionRows && most <= fractionMost {
			rd.problems.Add(c.Pos, c.Name, "", "no value over %g in %d rows; these are fractions, give percent", fractionMost, n)
		}
	}
}

// stuckRuns doubts runs of equal values in consecutive rows.
func stuckRuns[T any](rd *reader, h input.Header, rows []row[T], longest func(quantity, float64) int, unit string, follows func(a, b T) bool, name func(T) string) {
	for q := range quantities {
		c, ok := columnOf(h, q)
		if !ok {
			continue
		}
		for from := 0; from < len(rows); {
			v := rows[from].values[q]
			to := from + 1
			for to < len(rows) && rows[to].values[q] == v && follows(rows[to-1].value, rows[to].value) {
				to++
			}
			if n := longest(q, v); n > 0 && to-from >= n {
				rd.doubts.add("stuck", input.Problem{Pos: rows[from].pos(q), Field: c.Name, Msg: fmt.Sprintf(
					"%s on %d %s running, %s to %s; the sensor may be stuck",
					number(c.Unit.FromSI(v))+" "+c.Unit.Name, to-from, unit, name(rows[from].value), name(rows[to-1].value))})
			}
			from = to
		}
	}
}

// rainColumn tells of rain that nobody measured.
func (rd *reader) rainColumn(h input.Header, rec *Record) {
	const taken = "taken as none unless a gauge tells"
	c, ok := columnOf(h, rain)
	if !ok {
		rd.doubts.add("rain", input.Problem{Pos: h.Pos, Field: "rain",
			Msg: "no column for rain, " + input.OrList(input.Keys("rain", input.Depth)) + "; rain is " + taken})
		return
	}
	n, first := 0, 0
	for i := range rec.Days {
		if math.IsNaN(rec.Days[i].RainMM) {
			if n == 0 {
				first = i
			}
			n++
		}
	}
	if n > 0 {
		rd.doubts.add("rain", input.Problem{Pos: rec.DayPos[first].WholeLine(), Field: c.Name,
			Msg: fmt.Sprintf("no rain measured on %s, the first %s; it is %s", plural(n, "day"), rec.Days[first].Date, taken)})
	}
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// fillTemperature fills gaps of at most longestFill days in the highest and
// the lowest temperature by linear interpolation between the days around, and
// tells of each gap, once where both have it.
func (rd *reader) fillTemperature(h input.Header, rec *Record) {
	told := map[[2]int]bool{}
	for _, col := range []temperature{
		{tmax, func(d *et.Day) *float64 { return &d.TmaxC }},
		{tmin, func(d *et.Day) *float64 { return &d.TminC }},
	} {
		for from := 0; from < len(rec.Days); from++ {
			to := from
			for to < len(rec.Days) && math.IsNaN(*col.of(&rec.Days[to])) {
				to++
			}
			if from == to {
				continue
			}
			kind, then := "unfilled", col.fill(rec.Days, from, to)
			if then == "" {
				for i := from; i < to; i++ {
					if rec.needs == nil {
						rec.needs = map[int]int{}
					}
					rec.needs[i] = to
				}
				kind, then = "filled", "filled by linear interpolation between the days around"
			}
			if run := [2]int{from, to}; !told[run] {
				told[run] = true
				c, ok := columnOf(h, col.q)
				if !ok { // an hourly file has one column for both
					c, _ = columnOf(h, temp)
				}
				rd.doubts.add(kind, input.Problem{Pos: rec.DayPos[from].WholeLine(), Field: c.Name,
					Msg: "no temperature on " + span(rec.Days[from].Date, rec.Days[to-1].Date) + "; the gap is " + then})
			}
			from = to
		}
	}
}

// temperature is the highest or the lowest temperature of days.
type temperature struct {
	q  quantity
	of func(*et.Day) *float64
}

// fill fills the gap days[from:to] or tells why not.
func (t temperature) fill(days []et.Day, from, to int) (whyNot string) {
	switch {
	case from == 0 || to == len(days):
		return "not filled, because there is no day on one side of it"
	case to-from > longestFill:
		return fmt.Sprintf("not filled, because it is longer than %d days", longestFill)
	}
	a, b := *t.of(&days[from-1]), *t.of(&days[to])
	var filled [longestFill]et.Day
	for i := from; i < to; i++ {
		d := days[i]
		*t.of(&d) = a + (b-a)*float64(i-from+1)/float64(to-from+1)
		d.Filled |= et.FilledTemperature
		if d.TminC > d.TmaxC {
			return "not filled, because that would put the lowest temperature above the highest"
		}
		filled[i-from] = d
	}
	copy(days[from:to], filled[:])
	return ""
}
