// Forecasts against eight real wells: skill against "no change", and whether
// the stated standard errors hold. Each forecast knows only what was read by
// its start.
//
// Data: USGS daily mean depth to water, parameter 72019, statistic 00003, eight
// shallow wells in Arizona and Nevada, 1988 to 2021; public domain. Read beside
// the checkout, and skipped where absent. They are dry valleys beside streams
// rather than sand plains, and their rain is not known, so that the rule of
// recent rain has no part in this.

package watertable

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"testing"

	"github.com/golang-sql/civil"
)

func wells(t *testing.T) (names []string, readings map[string][]Reading) {
	t.Helper()
	// The checkout's folder is two above the package's.
	name := filepath.Join("..", "..", "..", "shared", "data", "usgs-shallow-wells", "dtw_daily_72019_00003.csv")
	file, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the record of the eight wells is not beside the checkout")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	readings = map[string][]Reading{}
	for _, r := range rows[1:] {
		d, err := civil.ParseDate(r[0])
		if err != nil {
			t.Fatal(err)
		}
		ft, err := strconv.ParseFloat(r[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		if len(readings[r[1]]) == 0 {
			names = append(names, r[1])
		}
		if ft >= 0 { // now and then one well overflows
			readings[r[1]] = append(readings[r[1]], Reading{d, ft * 0.3048})
		}
	}
	sort.Strings(names)
	if len(names) != 8 {
		t.Fatalf("%d wells; want 8", len(names))
	}
	return names, readings
}

// tally adds up forecasts of one lead.
type tally struct {
	n, used            int
	se, se0, ae, ae0   float64 // squared and absolute errors of the rule and of no change
	usedSE, usedSE0    float64 // the same where the recession was followed
	within1, within2   int     // inside one standard error, and 1.96
	uWithin1, uWithin2 int
}

func (a *tally) add(truth, none float64, e Estimate) {
	err, err0 := truth-e.DepthM, truth-none
	a.n++
	a.se += err * err
	a.se0 += err0 * err0
	a.ae += math.Abs(err)
	a.ae0 += math.Abs(err0)
	in := func(k float64) int {
		if math.Abs(err) <= k*e.SEM {
			return 1
		}
		return 0
	}
	a.within1 += in(1)
	a.within2 += in(1.96)
	if e.Basis == AlongRecession {
		a.used++
		a.usedSE += err * err
		a.usedSE0 += err0 * err0
		a.uWithin1 += in(1)
		a.uWithin2 += in(1.96)
	}
}

func (a *tally) skill() float64 { return 1 - a.se/a.se0 }

func (a *tally) plus(b tally) {
	a.n, a.used = a.n+b.n, a.used+b.used
	a.se, a.se0, a.ae, a.ae0 = a.se+b.se, a.se0+b.se0, a.ae+b.ae, a.ae0+b.ae0
	a.usedSE, a.usedSE0 = a.usedSE+b.usedSE, a.usedSE0+b.usedSE0
	a.within1, a.within2 = a.within1+b.within1, a.within2+b.within2
	a.uWithin1, a.uWithin2 = a.uWithin1+b.uWithin1, a.uWithin2+b.uWithin2
}

func (a *tally) log(t *testing.T, name string) {
	n := float64(a.n)
	t.Logf("%-22s %5d starts: MAE %.4f (no change %.4f), RMSE %.4f (%.4f), skill %+.3f; within 1 and 1.96 standard errors %.0f and %.0f %%",
		name, a.n, a.ae/n, a.ae0/n, math.Sqrt(a.se/n), math.Sqrt(a.se0/n), a.skill(), 100*float64(a.within1)/n, 100*float64(a.within2)/n)
	if u := float64(a.used); u > 0 {
		t.Logf("%22s %5d of them along a recession: skill %+.3f; within %.0f and %.0f %%",
			"", a.used, 1-a.usedSE/a.usedSE0, 100*float64(a.uWithin1)/u, 100*float64(a.uWithin2)/u)
	}
}

// everyNth thins daily readings to those of every nth day, counted from phase.
func everyNth(readings []Reading, n, phase int) []Reading {
	var out []Reading
	for _, r := range readings {
		if r.Date.DaysSince(civil.Date{Year: 1980, Month: 1, Day: 1})%n == phase {
			out = append(out, r)
		}
	}
	return out
}

// forecasts judges forecasts of the given leads from every reading of a series.
func forecasts(read []Reading, truth map[int]float64, leads []int) []tally {
	pts := newPoints(read, 0, nil)
	h := pts.hindcasts()
	out := make([]tally, len(leads))
	for i, start := range pts.day {
		var p *Pipe
		for l, lead := range leads {
			v, ok := truth[start+lead]
			if !ok {
				continue
			}
			if p == nil {
				p = pts.pipe(&h, i, start)
			}
			out[l].add(v, pts.depth[i], p.ahead(lead))
		}
	}
	return out
}

func TestSkillOnEightWells(t *testing.T) {
	names, all := wells(t)
	leads := []int{HindcastLeadDays, 1, 3, 7, 14, 21, 42}
	for _, every := range []int{1, 7, 14} {
		t.Logf("readings every %d day(s), %d days ahead, errors in m", every, HindcastLeadDays)
		sums := make([]tally, len(leads))
		ratio, ratio0 := 0.0, 0.0
		for _, name := range names {
			kept := all[name] // floods that would be doubted and all
			truth := map[int]float64{}
			for _, r := range kept {
				truth[r.Date.DaysSince(dayZero)] = r.DepthM
			}
			well := make([]tally, len(leads))
			for phase := range every {
				for l, a := range forecasts(everyNth(kept, every, phase), truth, leads) {
					well[l].plus(a)
				}
			}
			for l := range leads {
				sums[l].plus(well[l])
			}
			a := &well[0]
			a.log(t, name)
			ratio += a.se / a.se0
			ratio0++
			if a.n < 1000 {
				t.Errorf("%s: only %d start dates", name, a.n)
			}
			// What is learnt from the past need not hold; a fiftieth is the
			// price that is put up with on a single well.
			if every <= 7 && a.skill() < -0.02 {
				t.Errorf("%s: the rule is worse than no change: skill %.3f", name, a.skill())
			}
		}
		for l, lead := range leads {
			sums[l].log(t, "all, "+strconv.Itoa(lead)+" days ahead")
		}
		t.Logf("mean skill over the wells %+.3f", 1-ratio/ratio0)
		// Errors are not normal: most starts see a quiet table and a few a flood,
		// so that one standard error covers more than 68 % and two near 95 %.
		in1, in2 := 100*float64(sums[0].within1)/float64(sums[0].n), 100*float64(sums[0].within2)/float64(sums[0].n)
		if in1 < 68 || in2 < 93 || in2 > 98 {
			t.Errorf("every %d day(s): %.1f %% of the outcomes within one standard error and %.1f %% within 1.96", every, in1, in2)
		}
		if s := sums[0].skill(); s < 0 {
			t.Errorf("every %d day(s): over all wells the rule is worse than no change: skill %.3f", every, s)
		}
	}
}

// How often sound readings are doubted: these wells' daily means are taken as
// sound, floods and all. Few may be, or nobody minds a doubt; of those that are,
// the next reading settles about half.
func TestDoubtsOnEightWells(t *testing.T) {
	names, all := wells(t)
	for _, every := range []int{1, 7, 14} {
		read, doubted, left := 0, 0, 0
		for _, name := range names {
			for phase := range every {
				readings := everyNth(all[name], every, phase)
				read += len(readings)
				_, doubts := Check(readings)
				for i := range doubts {
					if d := &doubts[i]; d.Fault == Jump {
						doubted++
						if !d.Used() {
							left++
						}
					}
				}
			}
		}
		t.Logf("readings every %d day(s): %d of %d doubted, %d of them never used", every, doubted, read, left)
		if float64(doubted) > 0.001*float64(read) {
			t.Errorf("every %d day(s): %d of %d readings doubted", every, doubted, read)
		}
	}
}
