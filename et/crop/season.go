// A season of one crop: planting or green-up, cuts, and the daily curve.

package crop

import (
	"math"
	"slices"

	"github.com/golang-sql/civil"
)

// Climate is what the curve needs of the weather of one day. NaN is unknown.
type Climate struct {
	Date     civil.Date
	TmaxC    float64
	TminC    float64
	U2MPerS  float64 // wind at 2 m
	RHminPct float64 // lowest relative humidity
}

// Season is one crop on one field in one year.
type Season struct {
	Crop  Crop
	Start civil.Date   // planting, or green-up of a perennial: the first day of the initial stage
	Cuts  []civil.Date // in any order; each is the first day of a cutting cycle
	End   civil.Date   // last day of the crop; zero: see Days
	// Wetness gives Kc ini and the Kc of bare ground of the single coefficient by
	// how the ground was wetted; nil: those of Crop.
	Wetness *Wetness
}

// climateDays is how many days the climate of a stage is averaged over at
// least; a stage of which fewer are known borrows the days just before it. Ten
// days, because FAO-56 chapter 6 works with ten-day means.
const climateDays = 10

// Days draws the crop, one Day for each row of climate, in its order; the rows
// are days in ascending order, normally the record with its forecast.
//
// Kc and Kcb follow Eq. 66 through the four stages. Past the last stage the end
// values hold until a cut or the End. A zero End means the last day of the last
// stage, or for a perennial, that the stand lives on. Outside the season the
// ground is Bare: Kcb 0, Kc Crop.KcBare, no height, roots as before the start
// or as left at the end.
//
// Each cut restarts the curve as a cutting cycle with the recovery lengths
// (FAO-56 Tables 11, 12 and 17, individual cutting periods): the day of the cut
// is the first with the ini values, height begins again, roots stay. A crop
// without recovery lengths is not restarted.
//
// Mid and end values are adjusted to the climate of their stage (Eqs. 62, 65
// and 70). In a running season that is not yet known, so it is the mean over
// the days of the stage among the rows; while the stage runs and these are
// fewer than ten, the rows just before make up ten (before the stage begins:
// the last ten rows there are), and without any row with wind and humidity
// nothing is adjusted.
// The adjustment therefore settles in the first ten days of a stage.
//
// With a Wetness, Kc ini of each cutting cycle and the Kc of each run of bare days
// are those of FAO-56 Annex 7 for the wettings known in the stage, one value for
// the stage; see [Wetness]. Of a running stage they settle as the mid value does.
// Days on which it knows too little are marked KcFixed.
//
// Where lengths are by heat, each day counts its degree-days ([DegreeDays]);
// rows before Start do not count, and a day without temperatures adds none.
func (s Season) Days(climate []Climate) []Day {
	days := make([]Day, len(climate))
	progress := s.progress(climate)
	for _, c := range cycles(progress) {
		s.drawCycle(days, climate, progress, c)
	}
	s.addBareAndRoots(days, climate)
	return days
}

// step is where a season stands on one day: which cutting cycle, and how much
// of it is past including that day, in days or degree-days.
type step struct {
	cycle int // -1 outside the season
	past  float64
}

// progress places each row in its cycle.
func (s Season) progress(climate []Climate) []step {
	cuts := s.cycleStarts()
	steps := make([]step, len(climate))
	heat, cycle := 0.0, -1
	for i, row := range climate {
		steps[i] = step{cycle: -1}
		if row.Date.Before(s.Start) || (!s.End.IsZero() && row.Date.After(s.End)) {
			continue
		}
		k := len(cuts) - 1
		for cuts[k].After(row.Date) {
			k--
		}
		if k != cycle {
			cycle, heat = k, 0
		}
		l := s.lengths(k)
		past := float64(row.Date.DaysSince(cuts[k]) + 1)
		if l.ByHeat {
			heat += s.Crop.degreeDays(row)
			past = heat
		}
		if s.End.IsZero() && !s.Crop.Perennial && past > l.Total() {
			continue // the last stage of an annual is over
		}
		steps[i] = step{k, past}
	}
	return steps
}

// cycleStarts is the start of the season and of each cutting cycle, ascending.
func (s Season) cycleStarts() []civil.Date {
	starts := []civil.Date{s.Start}
	if (s.Crop.Recovery == Lengths{}) {
		return starts
	}
	for _, c := range s.Cuts {
		if c.After(s.Start) {
			starts = append(starts, c)
		}
	}
	slices.SortFunc(starts, func(a, b civil.Date) int { return a.DaysSince(b) })
	return slices.Compact(starts)
}

// lengths are those of the first growth or of a cutting cycle.
func (s Season) lengths(cycle int) Lengths {
	if cycle > 0 {
		return s.Crop.Recovery
	}
	return s.Crop.Lengths
}

// cycle is a run of rows [from, to) in one cutting cycle.
type cycle struct{ number, from, to int }

func cycles(steps []step) []cycle {
	var list []cycle
	for i, st := range steps {
		if st.cycle < 0 {
			continue
		}
		if n := len(list); n > 0 && list[n-1].number == st.cycle && list[n-1].to == i {
			list[n-1].to++
			continue
		}
		list = append(list, cycle{st.cycle, i, i + 1})
	}
	return list
}

// drawCycle fills in the rows of one cutting cycle.
func (s Season) drawCycle(days []Day, climate []Climate, steps []step, c cycle) {
	l, crop := s.lengths(c.number), &s.Crop
	devStart := c.from
	for devStart < c.to && l.stage(steps[devStart].past) == Initial {
		devStart++
	}
	kcIni, fixed := s.kcIni(climate[c.from].Date, climate[c.from].Date.AddDays(devStart-c.from-1))
	midStart, lateStart := c.to, c.to
	for i := c.to - 1; i >= c.from; i-- {
		switch l.stage(steps[i].past) {
		case Mid:
			midStart = i
		case Late:
			lateStart = i
		}
	}
	midStart = min(midStart, lateStart)
	mid := adjustment(climate, midStart, lateStart, lateStart < c.to, crop.HeightM)
	end := adjustment(climate, lateStart, c.to, steps[c.to-1].past >= l.Total(), crop.HeightM)
	single := curve{kcIni, adjusted(crop.KcMid, mid), adjusted(crop.KcEnd, end)}        // FAO-56 Eqs. 62 and 65
	basal := curve{crop.KcbIni, adjusted(crop.KcbMid, mid), adjusted(crop.KcbEnd, end)} // FAO-56 Eq. 70

	height := 0.0
	for i := c.from; i < c.to; i++ {
		kcb := basal.at(l, steps[i].past)
		if basal.mid > 0 {
			height = max(height, crop.HeightM*min(kcb/basal.mid, 1)) // FAO-56 Annex 8: with Kcb, never falling
		}
		stage := l.stage(steps[i].past)
		days[i] = Day{
			Stage:   stage,
			KcFixed: fixed && stage <= Development,
			Kc:      single.at(l, steps[i].past),
			Kcb:     kcb,
			HeightM: height,
			RootM:   basal.root(kcb, crop.RootMinM, crop.RootMaxM),
		}
	}
}

// addBareAndRoots dates the days, fills in bare ground and holds the roots:
// they never get shorter.
func (s Season) addBareAndRoots(days []Day, climate []Climate) {
	root := s.Crop.RootMinM
	kc, fixed, until := 0.0, false, -1 // of the run of bare days through until
	for i := range days {
		d := &days[i]
		d.Date, d.P, d.Ky = climate[i].Date, s.Crop.P, s.Crop.Ky
		if d.Stage == Bare {
			if i > until {
				for until = i; until+1 < len(days) && days[until+1].Stage == Bare; until++ {
				}
				kc, fixed = s.kcBare(climate[i].Date, climate[until].Date)
			}
			d.Kc, d.KcFixed = kc, fixed
		}
		root = max(root, d.RootM)
		d.RootM = root
	}
}

// stage is the growth stage after so many days or degree-days, the day itself
// included; Late holds past the end.
func (l Lengths) stage(past float64) Stage {
	switch {
	case past <= l.Ini:
		return Initial
	case past <= l.Ini+l.Dev:
		return Development
	case past <= l.Ini+l.Dev+l.Mid:
		return Mid
	}
	return Late
}

// curve is the three values of a crop coefficient.
type curve struct{ ini, mid, end float64 }

// at is the coefficient after so many days or degree-days: flat, up, flat,
// and on to the end value, which holds.
func (c curve) at(l Lengths, past float64) float64 {
	switch l.stage(past) {
	case Initial:
		return c.ini
	case Development:
		return c.ini + (past-l.Ini)/l.Dev*(c.mid-c.ini) // FAO-56 Eq. 66
	case Mid:
		return c.mid
	}
	if l.Late == 0 {
		return c.end
	}
	return c.mid + min((past-l.Ini-l.Dev-l.Mid)/l.Late, 1)*(c.end-c.mid) // FAO-56 Eq. 66
}

// root is the rooting depth in m that goes with a basal coefficient.
func (c curve) root(kcb, minM, maxM float64) float64 {
	if !(c.mid > c.ini) {
		return maxM
	}
	return minM + (maxM-minM)*min(max((kcb-c.ini)/(c.mid-c.ini), 0), 1) // FAO-56 Eq. 8-1
}

// adjustment is the climate term of a stage that holds the rows [from, to);
// whole says that the stage is over, so that it needs no days from before it.
func adjustment(climate []Climate, from, to int, whole bool, heightM float64) float64 {
	var u2, rh mean
	known := func(i int) bool { return !math.IsNaN(climate[i].U2MPerS) && !math.IsNaN(climate[i].RHminPct) }
	add := func(i int) { u2.add(climate[i].U2MPerS); rh.add(climate[i].RHminPct) }
	for i := from; i < to; i++ {
		if known(i) {
			add(i)
		}
	}
	whole = whole && u2.n > 0
	for i := from - 1; i >= 0 && !whole && u2.n < climateDays; i-- {
		if known(i) {
			add(i)
		}
	}
	if u2.n == 0 {
		return 0
	}
	return ClimateTerm(u2.value(), rh.value(), heightM)
}

// adjusted is a tabulated coefficient with the climate term of its stage;
// values under 0.45 stand for senesced or bare ground and keep theirs.
func adjusted(tabulated, term float64) float64 {
	if tabulated < 0.45 {
		return tabulated
	}
	return tabulated + term // FAO-56 Eqs. 62, 65 and 70
}

type mean struct {
	sum float64
	n   int
}

func (m *mean) add(x float64) { m.sum += x; m.n++ }
func (m mean) value() float64 { return m.sum / float64(m.n) }
