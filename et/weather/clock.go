// Whether the sun agrees with the clock of an hourly file.
//
// A file that carries the time at which each hour ends, read as one that carries
// the time at which it begins, is an hour late: no value is impossible, but the
// sun of every clear day stands an hour too late. So the radiation of the clear
// days is held against extraterrestrial radiation as the clock has it and an
// hour or two to either side.

package weather

import (
	"fmt"
	"math"
	"time"

	"sandwick/et"
	"sandwick/et/input"
)

const (
	// clearShare is the least share of clear-sky radiation (FAO-56 Eq. 37) of a day
	// that is taken for clear: clouds would hide when the sun stood highest.
	clearShare = 0.8
	// clearDays is how many such days it takes to tell.
	clearDays = 5
	// clearlyBetter is the share of the squares left over that a shifted clock may
	// leave to be doubted. Of half an hour, which some zones are off by, both
	// leave as much. With the other two: assumptions, no published source.
	clearlyBetter = 0.5
	// mostShift is how far to either side is tried, hours.
	mostShift = 2
)

// doubtClock doubts the clock of rows, which are in order of time.
func (rd *reader) doubtClock(h input.Header, rows []row[et.Hour]) {
	if _, ok := columnOf(h, solar); !ok {
		return
	}
	site := rd.opt.Site
	ra := make([]float64, len(rows))
	for i := range rows {
		ra[i] = site.Hourly(et.FAO56, et.MissingHour(rows[i].value.Start)).RaMJ
	}
	// at is the radiation so many hours after row i.
	at := func(i, hours int) float64 {
		t := rows[i].value.Start.Add(time.Duration(hours) * time.Hour)
		if j := i + hours; j >= 0 && j < len(rows) && rows[j].value.Start.Equal(t) {
			return ra[j]
		}
		return site.Hourly(et.FAO56, et.MissingHour(t)).RaMJ
	}
	// Days of the sun: midnight lies between them.
	day := func(i int) int64 {
		s := float64(rows[i].value.Start.Unix()) + site.LongitudeDeg/15*3600
		return int64(math.Floor(s / 86400))
	}
	var left [2*mostShift + 1]float64 // squares left over by shift
	clear := 0
	for from := 0; from < len(rows); {
		to := from
		rs, rso := 0.0, 0.0
		for to < len(rows) && day(to) == day(from) {
			rs += rows[to].values[solar] // NaN takes the day out
			rso += et.ClearSky(ra[to], site.ElevationM)
			to++
		}
		if to-from >= 23 && rso > 0 && rs >= clearShare*rso {
			clear++
			for k := range left {
				var xx, xy, yy float64
				for i := from; i < to; i++ {
					x, y := at(i, k-mostShift), rows[i].values[solar]
					xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
				}
				if xx > 0 {
					yy -= xy * xy / xx
				}
				left[k] += yy
			}
		}
		from = to
	}
	best := mostShift
	for k := range left {
		if left[k] < left[best] {
			best = k
		}
	}
	if clear < clearDays || !(left[best] < clearlyBetter*left[mostShift]) {
		return
	}
	shift := best - mostShift
	which, by := "later", shift
	if shift < 0 {
		which, by = "earlier", -shift
	}
	why := "the clock or the time zone may be wrong"
	switch {
	case shift == -1 && !rd.opt.HourEnding:
		why = "the times may be those at which the hours end: set hour_ending = true"
	case shift == 1 && rd.opt.HourEnding:
		why = "the times may be those at which the hours begin: leave hour_ending out"
	}
	rd.doubts.add("clock", input.Problem{Pos: h.Pos, Field: "time", Msg: fmt.Sprintf(
		"on %s the sun fits rows %s %s than they are read; %s", plural(clear, "clear day"), plural(by, "hour"), which, why)})
}
