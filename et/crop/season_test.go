// A season in all its turns: bare ground, cuts, heat, a climate that is not
// known yet.

package crop_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/crop"
)

func on(month time.Month, day int) civil.Date { return civil.Date{Year: 2023, Month: month, Day: day} }

// mint is a peppermint season with green-up on 15 April and cuts.
func mint(cuts ...civil.Date) crop.Season {
	c, _ := crop.Lookup("peppermint")
	return crop.Season{Crop: c, Start: on(time.April, 15), Cuts: cuts}
}

// row finds the day of a date.
func row(t *testing.T, days []crop.Day, date civil.Date) crop.Day {
	t.Helper()
	for _, d := range days {
		if d.Date == date {
			return d
		}
	}
	t.Fatalf("no %s among the days", date)
	return crop.Day{}
}

func TestBareOutsideTheSeason(t *testing.T) {
	s := bean()
	climate := weather(s.Start.AddDays(-10), 130, 2, 45)
	days := s.Days(climate)
	if len(days) != len(climate) {
		t.Fatalf("%d days for %d rows", len(days), len(climate))
	}
	for i, d := range days {
		inside := i >= 10 && i < 110 // an annual without an end stops with its last stage
		if d.Date != climate[i].Date || (d.Stage != crop.Bare) != inside || d.P != s.Crop.P {
			t.Fatalf("%+v", d)
		}
		if !inside && (d.Kcb != 0 || d.Kc != s.Crop.KcBare || d.HeightM != 0) {
			t.Fatalf("bare ground: %+v", d)
		}
	}
	if days[0].RootM != s.Crop.RootMinM || days[129].RootM != s.Crop.RootMaxM {
		t.Errorf("roots before and after: %v and %v", days[0].RootM, days[129].RootM)
	}

	s.End = s.Start.AddDays(39)
	if days := s.Days(climate); days[49].Stage == crop.Bare || days[50].Stage != crop.Bare {
		t.Errorf("the end is the last day: %+v, %+v", days[49], days[50])
	}
	s.End = s.Start.AddDays(115) // longer than the stages: the end value holds
	if days := s.Days(climate); days[124].Kcb != s.Crop.KcbEnd || days[124].Stage != crop.Late {
		t.Errorf("after the last stage: %+v", days[124])
	}
	if days := s.Days(nil); len(days) != 0 {
		t.Errorf("no rows, but %v", days)
	}
}

// A cut begins a cutting cycle: FAO-56 Table 17, individual cutting periods.
func TestCuts(t *testing.T) {
	first, second := on(time.July, 20), on(time.September, 15)
	s := mint(second, first, on(time.March, 1), first) // any order; one before green-up; one told twice
	days := s.Days(weather(on(time.April, 1), 213, 2, 45))
	for _, c := range []struct {
		date  civil.Date
		stage crop.Stage
		kcb   float64
	}{
		{on(time.April, 14), crop.Bare, 0},
		{on(time.April, 15), crop.Initial, 0.40},
		{on(time.May, 4), crop.Initial, 0.40},      // day 20
		{on(time.May, 24), crop.Development, 0.75}, // day 40: half way
		{on(time.June, 13), crop.Development, 1.10},
		{on(time.July, 19), crop.Mid, 1.10},
		{first, crop.Initial, 0.40},
		{on(time.July, 24), crop.Initial, 0.40},       // day 5 after the cut
		{on(time.August, 3), crop.Development, 0.75},  // day 15: half way
		{on(time.August, 13), crop.Development, 1.10}, // day 25
		{on(time.September, 2), crop.Mid, 1.10},       // day 45
		{on(time.September, 7), crop.Late, 1.075},     // day 50
		{on(time.September, 14), crop.Late, 1.05},     // day 57, past the end: holds
		{second, crop.Initial, 0.40},
		{on(time.October, 30), crop.Late, 1.10 - 0.1*0.05},
	} {
		if d := row(t, days, c.date); d.Stage != c.stage || math.Abs(d.Kcb-c.kcb) > 1e-9 {
			t.Errorf("%s: %s, Kcb %.4f; want %s, %.4f", c.date, d.Stage, d.Kcb, c.stage, c.kcb)
		}
	}
	before, after := row(t, days, first.AddDays(-1)), row(t, days, first)
	if !(after.HeightM < before.HeightM/2) || after.RootM != before.RootM {
		t.Errorf("after the cut: height %v from %v, roots %v from %v", after.HeightM, before.HeightM, after.RootM, before.RootM)
	}
	if want := 0.7 * 0.40 / 1.10; math.Abs(after.HeightM-want) > 1e-9 {
		t.Errorf("height after the cut %v, want %v (FAO-56 Annex 8: with Kcb)", after.HeightM, want)
	}

	// A crop that is not cut for regrowth takes no notice.
	corn, _ := crop.Lookup("corn")
	plain := crop.Season{Crop: corn, Start: on(time.May, 1)}
	cut := plain
	cut.Cuts = []civil.Date{on(time.July, 1)}
	climate := weather(plain.Start, 150, 2, 45)
	for i, d := range cut.Days(climate) {
		if want := plain.Days(climate)[i]; d != want {
			t.Fatalf("corn after a cut: %+v, want %+v", d, want)
		}
	}
}

// Stages by heat: with a steady warmth the curve is that of days, scaled.
func TestStagesByHeat(t *testing.T) {
	corn, _ := crop.Lookup("corn")
	byDays := crop.Season{Crop: corn, Start: on(time.May, 1)}
	byHeat := byDays
	const perDay = 10 // °C d: (28+12)/2 - 10
	byHeat.Crop.Lengths = crop.Lengths{Ini: 30 * perDay, Dev: 40 * perDay, Mid: 50 * perDay, Late: 30 * perDay, ByHeat: true}
	climate := weather(on(time.April, 20), 190, 2, 45)
	want := byDays.Days(climate)
	for i, d := range byHeat.Days(climate) {
		if d != want[i] {
			t.Fatalf("%+v, want %+v", d, want[i])
		}
	}
	// A cold spell holds the crop up; a day without a thermometer adds nothing.
	for i := 20; i < 30; i++ {
		climate[i].TmaxC, climate[i].TminC = 9, -1
	}
	climate[40].TmaxC = math.NaN()
	if got := byHeat.Days(climate); got[71].Kcb != want[60].Kcb {
		t.Errorf("eleven days lost: Kcb %v, want %v", got[71].Kcb, want[60].Kcb)
	}
	// A cutting cycle counts its own heat.
	s := mint(on(time.July, 1))
	s.Crop.Recovery = crop.Lengths{Ini: 50, Dev: 150, Mid: 200, Late: 100, ByHeat: true} // base 5 °C: 15 a day
	days := s.Days(weather(s.Start, 120, 2, 45))
	if d := row(t, days, on(time.July, 3)); d.Stage != crop.Initial { // 45 °C d
		t.Errorf("%+v", d)
	}
	if d := row(t, days, on(time.July, 4)); d.Stage != crop.Development || math.Abs(d.Kcb-(0.4+0.7*10/150)) > 1e-9 { // 60 °C d
		t.Errorf("%+v", d)
	}
}

// Degree-days with both limits, as corn is reckoned in the United States
// (86/50 °F: 90 and 45 °F make 18 °F d, which is 10 °C d; common practice, no
// published source).
func TestDegreeDays(t *testing.T) {
	for _, c := range []struct{ tmax, tmin, want float64 }{
		{(90 - 32) / 1.8, (45 - 32) / 1.8, 10}, {25, 15, 10}, {8, 2, 0}, {40, 35, 20}, {20, 4, 5},
	} {
		if got := crop.DegreeDays(c.tmax, c.tmin, 10, 30); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%.1f and %.1f °C: %v °C d, want %v", c.tmax, c.tmin, got, c.want)
		}
	}
	if x := crop.DegreeDays(math.NaN(), 10, 10, 30); !math.IsNaN(x) {
		t.Errorf("no highest temperature: %v", x)
	}
}

// The climate of a stage is that of its own days, as far as they are known.
func TestClimateOfAStage(t *testing.T) {
	s := bean() // mid-season is days 51 to 80
	term := func(u2, rh float64) float64 { return crop.ClimateTerm(u2, rh, s.Crop.HeightM) }
	climate := weather(s.Start, 100, 2, 45)
	for i := 50; i < 80; i++ {
		climate[i].U2MPerS, climate[i].RHminPct = 4, 25
	}
	mid := func(rows []crop.Climate, day int) float64 { return s.Days(rows)[day-1].Kcb - s.Crop.KcbMid }
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"whole season", mid(climate, 60), term(4, 25)},
		{"half of mid-season known", mid(climate[:65], 60), term(4, 25)},
		{"four days known, six borrowed", mid(climate[:54], 54), term((4*4+6*2)/10.0, (4*25+6*45)/10.0)},
		{"end of development", mid(climate[:50], 50), 0},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s: adjusted by %.4f, want %.4f", c.name, c.got, c.want)
		}
	}
	for i := range climate {
		climate[i].U2MPerS = math.NaN()
	}
	if x := mid(climate, 60); x != 0 {
		t.Errorf("no wind known: adjusted by %v", x)
	}

	// An end value under 0.45 keeps its own (Eq. 70), one over is adjusted.
	dry := weather(s.Start, 100, 5, 25)
	if d := s.Days(dry)[99]; d.Kcb != s.Crop.KcbEnd || d.Kc != s.Crop.KcEnd {
		t.Errorf("senesced: %+v", d)
	}
	potato, _ := crop.Lookup("potato")
	s = crop.Season{Crop: potato, Start: s.Start}
	if d := s.Days(weather(s.Start, 130, 5, 25))[129]; math.Abs(d.Kcb-(0.65+crop.ClimateTerm(5, 25, 0.6))) > 1e-9 {
		t.Errorf("half green at the end: %+v", d)
	}
	s = mint()
	if d := s.Days(weather(s.Start, 110, 5, 25))[109]; math.Abs(d.Kcb-(1.05+crop.ClimateTerm(5, 25, 0.7))) > 1e-9 {
		t.Errorf("green at the end: %+v", d)
	}
}

// Whatever the crop, cuts and weather: values within their limits, no jump but
// at a cut, roots that never shrink, cover and Kc max in range.
func TestSeasonProperties(t *testing.T) {
	const seed = 56
	r := rand.New(rand.NewPCG(seed, 1998))
	for range 300 {
		name := crop.Names()[r.IntN(len(crop.Names()))]
		c, _ := crop.Lookup(name)
		s := crop.Season{Crop: c, Start: on(time.April, 1).AddDays(r.IntN(60))}
		for range r.IntN(4) {
			s.Cuts = append(s.Cuts, s.Start.AddDays(20+r.IntN(150)))
		}
		climate := weather(on(time.March, 1), 300, 0, 0)
		for i := range climate {
			climate[i].U2MPerS, climate[i].RHminPct = r.Float64()*8, r.Float64()*100
			if r.IntN(10) == 0 {
				climate[i].U2MPerS = math.NaN()
			}
		}
		isCut := map[civil.Date]bool{s.Start: true}
		for _, d := range s.Cuts {
			isCut[d] = true
		}
		days := s.Days(climate)
		for i, d := range days {
			kcMax := crop.KcMax(d, climate[i])
			fc := crop.Cover(d, kcMax)
			if !(d.Kcb >= 0 && d.Kcb < 1.6 && d.Kc > 0 && d.Kc < 1.7 && d.HeightM >= 0 && d.HeightM <= c.HeightM &&
				d.RootM >= c.RootMinM && d.RootM <= c.RootMaxM && fc >= 0 && fc <= 0.99 && kcMax >= d.Kcb+0.05) {
				t.Fatalf("seed %d: %s: %+v, Kc max %v, fc %v", seed, name, d, kcMax, fc)
			}
			if i == 0 {
				continue
			}
			last := days[i-1]
			if d.RootM < last.RootM {
				t.Fatalf("seed %d: %s: roots shrink: %+v", seed, name, d)
			}
			inside := d.Stage != crop.Bare && last.Stage != crop.Bare && !isCut[d.Date]
			if inside && (math.Abs(d.Kcb-last.Kcb) > 0.08 || d.HeightM < last.HeightM) {
				t.Fatalf("seed %d: %s: a jump: %+v after %+v", seed, name, d, last)
			}
		}
	}
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		spoil func(*crop.Crop)
		want  string
	}{
		{func(c *crop.Crop) { c.KcMid = math.NaN() }, "crop corn: Kc mid: is NaN; must be from 0 to 1.5"},
		{func(c *crop.Crop) { c.KcbEnd = 2 }, "crop corn: Kcb end: is 2; must be from 0 to 1.5"},
		{func(c *crop.Crop) { c.HeightM = 0 }, "crop corn: height in m: is 0; must be from 0.02 to 10"},
		{func(c *crop.Crop) { c.RootMinM = 1.2 }, "crop corn: smallest rooting depth in m: is 1.2; must be at most the greatest, 1"},
		{func(c *crop.Crop) { c.P = 55 }, "crop corn: depletion fraction p: is 55; must be from 0.1 to 0.8"},
		{func(c *crop.Crop) { c.Ky = -1 }, "crop corn: yield response Ky: is -1; must be from 0 to 3"},
		{func(c *crop.Crop) { c.Lengths.Mid = -5 }, "crop corn: stage lengths, mid-season: is -5; must be from 0 to 400"},
		{func(c *crop.Crop) { c.Lengths = crop.Lengths{} }, "crop corn: stage lengths, total: is 0; must be more than 0"},
		{func(c *crop.Crop) { c.Recovery.Dev = math.Inf(1) }, "crop corn: recovery lengths, development: is +Inf; must be from 0 to 400"},
		{func(c *crop.Crop) { c.Lengths.ByHeat, c.GDDBaseC = true, 31 },
			"crop corn: degree-day base temperature in °C: is 31; must be under the upper one, 30"},
	} {
		corn, _ := crop.Lookup("corn")
		c.spoil(&corn)
		if err := corn.Check(); err == nil || err.Error() != c.want {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
}

func BenchmarkSeasonDays(b *testing.B) {
	s := mint(on(time.July, 20), on(time.September, 15))
	climate := weather(on(time.April, 1), 214, 2.5, 40)
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		sum = 0
		for _, d := range s.Days(climate) {
			sum += d.Kcb
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(climate)), "ns/day")
	if sum < 100 || sum > 300 {
		b.Fatalf("sum of Kcb %v", sum)
	}
}
