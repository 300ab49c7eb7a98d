package crop_test

import (
	"math"
	"testing"

	"github.com/golang-sql/civil"

	"sandwick/et/crop"
)

// bareKc is FAO-56 Eq. 7-3 written out anew, for a wetting every interval days
// of a surface that gives tew mm, the first rew at the full rate.
func bareKc(interval, eto, tew, rew float64) float64 {
	eso := 1.15 * eto
	t1 := rew / eso
	if interval <= t1 {
		return 1.15
	}
	return math.Min(1.15, (tew-(tew-rew)*math.Exp(-(interval-t1)*eso*(1+rew/(tew-rew))/tew))/(interval*eto))
}

// single is a crop of 21 initial days from 1 May with standard climate, drawn
// over 2 April to 20 June; wet gives the water of day i from 2 April.
func single(t *testing.T, known int, wet func(i int) float64, change func(*crop.Season)) []crop.Day {
	t.Helper()
	c, ok := crop.Lookup("corn")
	if !ok {
		t.Fatal("no corn")
	}
	c.Lengths = crop.Lengths{Ini: 21, Dev: 20, Mid: 60, Late: 10}
	s := crop.Season{Crop: c, Start: civil.Date{Year: 2025, Month: 5, Day: 1}, Wetness: &crop.Wetness{From: civil.Date{Year: 2025, Month: 4, Day: 2}}}
	for i := range known {
		s.Wetness.WaterMM = append(s.Wetness.WaterMM, wet(i))
		s.Wetness.EToMM = append(s.Wetness.EToMM, 4)
	}
	if change != nil {
		change(&s)
	}
	var climate []crop.Climate
	for i := range 80 {
		climate = append(climate, crop.Climate{Date: civil.Date{Year: 2025, Month: 4, Day: 2}.AddDays(i), TmaxC: 25, TminC: 12, U2MPerS: 2, RHminPct: 45})
	}
	return s.Days(climate)
}

const start = 29 // index of 1 May

// FAO-56 Example 24 (p. 116): a wetting every two days, ETo 4 mm/day, of 10 mm;
// Eq. 7-3 gives 0.889, the figure is read as 0.85. Ten wettings in the 21 days of
// the stage are one every 21/10.5 days (Eq. 7-7).
func TestKcIniByWetting(t *testing.T) {
	example := func(i int) float64 {
		if i >= start && (i-start)%2 == 1 {
			return 10
		}
		return 0
	}
	days := single(t, start+21, example, nil)
	if got := days[start].Kc; math.Abs(got-0.889) > 5e-4 {
		t.Errorf("Kc ini %.4f; want 0.889", got)
	}
	for i := range days {
		d := &days[i]
		if d.KcFixed {
			t.Errorf("%s is marked as fixed", d.Date)
		}
		if d.Stage == crop.Initial && d.Kc != days[start].Kc {
			t.Errorf("%s: Kc %g within the stage", d.Date, d.Kc)
		}
	}
	// Development climbs from it (Eq. 66).
	if got, want := days[start+21].Kc, 0.889+(1.2-0.889)/20; math.Abs(got-want) > 1e-3 {
		t.Errorf("first day of development %.4f; want %.4f", got, want)
	}
	// The 29 bare days before had no wetting: one every 58 days, by Figure 29, REW 6/√4 mm.
	if got, want := days[0].Kc, bareKc(58, 4, 10, 3); math.Abs(got-want) > 1e-12 {
		t.Errorf("bare ground before planting %.4f; want %.4f", got, want)
	}

	// Heavy wettings on two adjacent days are one: 25+15 mm four times, one every
	// 21/4.5 days, by Figure 30a: TEW min(15, 7√4), REW 6; 30b: min(28, 13√4) and 9.
	pairs := func(i int) float64 {
		switch i - start {
		case 2, 7, 12, 17:
			return 25
		case 3, 8, 13, 18:
			return 15
		}
		return 2.9 // no wetting
	}
	if got, want := single(t, start+21, pairs, nil)[start].Kc, bareKc(21/4.5, 4, 14, 6); math.Abs(got-want) > 1e-12 {
		t.Errorf("heavy wettings of sand: Kc ini %.4f; want %.4f", got, want)
	}
	fine := single(t, start+21, pairs, func(s *crop.Season) { s.Wetness.Texture = crop.Fine })
	if got, want := fine[start].Kc, bareKc(21/4.5, 4, 26, 9); math.Abs(got-want) > 1e-12 {
		t.Errorf("heavy wettings of finer ground: Kc ini %.4f; want %.4f", got, want)
	}
}

// The window: the known days of the stage, and while they are fewer than ten the
// days just before; with fewer than ten in all the fixed value, marked.
func TestKcIniWindow(t *testing.T) {
	daily := func(i int) float64 {
		if i%2 == 0 {
			return 10
		}
		return 0
	}
	// Four days of the stage are known, and six before it: five wettings in ten days.
	if got, want := single(t, start+4, daily, nil)[start].Kc, bareKc(10/5.5, 4, 10, 3); math.Abs(got-want) > 1e-12 {
		t.Errorf("a stage of four known days: Kc ini %.4f; want %.4f", got, want)
	}
	few := single(t, 9, daily, nil)
	for _, d := range few {
		fixed := d.Stage <= crop.Development
		if d.KcFixed != fixed {
			t.Errorf("%s, %v, nine days known: marked %v", d.Date, d.Stage, d.KcFixed)
		}
	}
	if few[0].Kc != 0.30 || few[start].Kc != 0.30 { // FAO-56 Table 12, maize
		t.Errorf("fixed values %g and %g", few[0].Kc, few[start].Kc)
	}
	gaps := single(t, start+21, func(i int) float64 {
		if i != start && i != start+5 { // days that nobody knows of
			return daily(i)
		}
		return math.NaN()
	}, nil)
	n := 0.0 // of wettings: the even days of the 19 known
	for i := start; i < start+21; i++ {
		if i%2 == 0 && i != start+5 {
			n++
		}
	}
	if got, want := gaps[start].Kc, bareKc(19/(n+0.5), 4, 10, 3); math.Abs(got-want) > 1e-12 {
		t.Errorf("a stage with gaps: Kc ini %.4f; want %.4f", got, want)
	}
	// Values of the caller's own stay.
	own := single(t, start+21, daily, func(s *crop.Season) {
		s.Crop.KcIni, s.Crop.KcIniSet, s.Crop.KcBare, s.Crop.KcBareSet = 0.5, true, 0.2, true
	})
	if own[start].Kc != 0.5 || own[0].Kc != 0.2 || own[start].KcFixed || own[0].KcFixed {
		t.Errorf("values set: %+v and %+v", own[0], own[start])
	}
	// An established stand takes its basal coefficient at least.
	stand := single(t, start+21, func(int) float64 { return 0 }, func(s *crop.Season) { s.Crop.KcbIni = 0.4 })
	if stand[start].Kc != 0.4 {
		t.Errorf("an established stand without rain: Kc ini %g; want its Kcb ini 0.4", stand[start].Kc)
	}
}
