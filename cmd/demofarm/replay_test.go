// Ten seasons that were never planned for, run again: what the program is worth.

package main

import (
	"context"
	"flag"
	"math"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"sandwick/fields"
	"sandwick/fields/replay"
)

// seasons is how many seeded seasons are replayed; they take seconds each.
//
//	go test ./cmd/demofarm -run TenSeasons -v -seasons 10
var (
	seasons    = flag.Int("seasons", 0, "replay so many seeded whole seasons (10 for the closing table)")
	seasonLook = flag.Int("season-look", replay.DefaultLookDays, "days the planner looks ahead in them")
	seasonTold = flag.Int("season-told", 2, "take the distance to foresight apart in the first so many of them")
)

// season is a finished season of a seed.
func season(t *testing.T, seed uint64) *fields.Farm {
	t.Helper()
	o := defaultOptions()
	o.Seed, o.Whole = seed, true
	fsys := fstest.MapFS{}
	for _, f := range generate(o) {
		fsys[f.Path] = &fstest.MapFile{Data: f.Data}
	}
	farm, problems := fields.LoadFS(fsys)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return farm
}

// TestTenSeasons holds the planner, seeing what was known each morning, against
// refilling whole circles at the trigger and against itself told the weather.
// The wells' season limits are left out: the rules run into them in July, and a
// season in which the water is gone by then compares nothing.
func TestTenSeasons(t *testing.T) {
	if *seasons == 0 {
		t.Skip("-seasons 10 replays them")
	}
	var water, missed, foresight, air, rain, soon []float64
	for seed := 1; seed <= *seasons; seed++ {
		ways := replay.Ways()
		if seed <= *seasonTold {
			ways = append(ways, replay.ToldAir, replay.ToldRain, replay.ToldSoon)
		}
		farm := season(t, uint64(seed))
		began := time.Now()
		r, err := replay.Run(context.Background(), farm, replay.Options{Ways: ways, LookDays: *seasonLook, NoSeasonLimit: true})
		if err != nil {
			t.Fatal(err)
		}
		took := time.Since(began)
		plan, told, refill := &r.Of(replay.Planned).Total, &r.Of(replay.Foresight).Total, &r.Of(replay.Refill).Total
		for i := range r.Accounts {
			a := &r.Accounts[i]
			x, c := &a.Total, &a.Total.Cost
			t.Logf("%2d %-9s %7.0f m³ %6.0f kWh %4d starts %5.2f stress days %6.2f mm missed %5.0f mm drained %5.2f %% lost | pumping %5.0f starts %4.0f stress %5.0f late %4.0f leached %5.0f owed %4.0f total %6.0f",
				seed, a.Way, x.WaterM3, x.EnergyKWh, x.Starts, x.StressDays, x.DeficitMM, x.PercolationMM, 100*x.LostYield,
				c.Pumping, c.Labour, c.Stress, c.Late, c.Percolation, c.Carry, c.Total)
			if a.Way != replay.Recorded && a.Violation != nil {
				t.Errorf("season %d, %s: %v", seed, a.Way, a.Violation)
			}
		}
		w := 1 - plan.WaterM3/refill.WaterM3
		f := plan.Cost.Total/told.Cost.Total - 1
		water, foresight = append(water, w), append(foresight, f)
		missed = append(missed, plan.DeficitMM-refill.DeficitMM)
		for way, list := range map[replay.Way]*[]float64{replay.ToldAir: &air, replay.ToldRain: &rain, replay.ToldSoon: &soon} {
			if a := r.Of(way); a != nil {
				*list = append(*list, a.Total.Cost.Total/told.Cost.Total-1)
			}
		}
		t.Logf("%2d %.1f %% less water than refill, %+.2f stress days, %+.2f mm of ET missed; cost %+.1f %% over foresight; %s",
			seed, 100*w, plan.StressDays-refill.StressDays, plan.DeficitMM-refill.DeficitMM, 100*f, took.Round(100*time.Millisecond))
		if w < 0.15 {
			t.Errorf("season %d: %.1f %% less water than refill at the trigger, want 15", seed, 100*w)
		}
	}
	// Ten per cent of foresight are not reached without a forecast: told all but
	// the rain the planner is as far from it, told all but the air it is near.
	// What is held here is what ten seasons gave, 20 %, with room for few of them.
	const mostOverForesight = 0.25
	if f := median(foresight); f > mostOverForesight {
		t.Errorf("cost %.1f %% over foresight in the median, want at most %.0f", 100*f, 100*mostOverForesight)
	}
	// Stress by what counts, the ET missed: a day's shortage of a tenth of a
	// millimetre is a stress day too.
	if mm := median(missed); mm > 0.5 {
		t.Errorf("%.2f mm more of ET missed than by refill in the median", mm)
	}
	t.Logf("median: %.1f %% less water than refill; cost %.1f %% over foresight; where it was taken apart, told all but the rain %.1f %%, all but the air %.1f %%, all of today and tomorrow %.1f %%",
		100*median(water), 100*median(foresight), 100*median(air), 100*median(rain), 100*median(soon))
}

func median(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	n := len(x)
	if n == 0 {
		return math.NaN()
	}
	return (x[(n-1)/2] + x[n/2]) / 2
}
