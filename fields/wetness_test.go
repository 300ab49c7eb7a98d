// Kc ini of the single coefficient from what fell on the field.

package fields

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"sandwick/et/crop"
)

// Rain by gauge or else by station, and the pass as it was laid down: by hand
// from small.txtar. The gauge of 7 June is not known on the 7th's morning.
func TestWetnessByHand(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "records/rain.csv", "2025-06-06,Wheel,0", "2025-06-07,Round,9,\n2025-06-06,Wheel,0"))
	s := mustWalk(t, f, date(t, "2025-06-07"), WalkOptions{})
	net := 0.85 * 1000 * 100 * 24 / (math.Pi * 200 * 200) // mm on each quarter: one on 2 June from 18:00, three on the 3rd
	want := []float64{0, 0, 0, net / 4, 3 + 3*net/4, 25, 0, 0}
	w := s.wet[0]
	if w.From != date(t, "2025-05-30") || w.Texture != crop.Coarse || len(w.WaterMM) != len(want) {
		t.Fatalf("from %s, texture %d, %d days", w.From, w.Texture, len(w.WaterMM))
	}
	for d, mm := range want {
		if math.Abs(w.WaterMM[d]-mm) > 1e-3*mm {
			t.Errorf("%s: %.3f mm; want %.3f", w.From.AddDays(d), w.WaterMM[d], mm)
		}
		if w.EToMM[d] < 2 || w.EToMM[d] > 8 {
			t.Errorf("%s: ETo %.2f mm", w.From.AddDays(d), w.EToMM[d])
		}
	}
	// Field capacity 30 % and wilting point 10 %: TEW 25 mm, a fine soil.
	fine := mustLoad(t, smallFarm(t, "farm.toml", "field_capacity_pct = 12\nwilting_point_pct = 4", "field_capacity_pct = 30\nwilting_point_pct = 10"))
	if got := fine.texture(0); got != crop.Fine {
		t.Errorf("texture %d", got)
	}
}

// Too few days: the fixed value, and it is told. Enough: Annex 7. farm.toml has
// the last word. Dual mode knows nothing of it.
func TestSingleKcIni(t *testing.T) {
	var more strings.Builder
	for d := date(t, "2025-05-10"); d.Before(date(t, "2025-05-30")); d = d.AddDays(1) {
		fmt.Fprintf(&more, "%s,25,11,90,40,2.0,22,%d\n", d, 12*(d.Day%4/3))
	}
	head := "date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n"
	table := []string{"farm.toml", `like = "cover"`, `like = "corn"`, "farm.toml", "kc_ini = 0.4\nkc_mid = 0.4\nkc_end = 0.4\n", "", "farm.toml", "start = 2025-05-01", "start = 2025-05-10"}
	walk := func(changes ...string) *Season {
		return mustWalk(t, mustLoad(t, smallFarm(t, append(table, changes...)...)), date(t, "2025-06-07"), WalkOptions{})
	}

	few := walk()
	if len(few.Doubts) != 1 || few.crops[0][0].Demand.Kcb != 0.30 {
		t.Fatalf("Kc %g; doubts %v", few.crops[0][0].Demand.Kcb, few.Doubts)
	}
	if got := few.Doubts[0].Error(); got != `farm.toml:48:1: fields.crop: Kc of 6 day(s) from 2025-06-01 on rests on a fixed Kc ini, 0.30, which is an assumption: fewer than ten days tell how the ground was wetted (got "sward")` {
		t.Error(got)
	}

	enough := walk("weather.csv", head, head+more.String())
	if len(enough.Doubts) != 0 {
		t.Errorf("doubts %v", enough.Doubts)
	}
	// The stage's known days are 10 May to 6 June: 28. It rained 12 mm on 11, 15, 19,
	// 23 and 27 May; the field had the pass with the rain of 3 June and the gauge of
	// the 4th in one wetting of three days.
	net := 0.85 * 1000 * 100 * 24 / (math.Pi * 200 * 200)
	depth := (5*12 + net + 3 + 25) / 6
	eto := 0.0
	for _, mm := range enough.wet[0].EToMM {
		eto += mm / 28
	}
	want := (crop.Wetting{IntervalDays: 28 / 6.5, EToMM: eto, DepthMM: depth}).KcIni()
	if got := enough.crops[0][0].Demand.Kcb; math.Abs(got-want) > 1e-3 || got < 0.4 {
		t.Errorf("Kc ini %.4f; want %.4f", got, want)
	}
	if ahead := enough.CropAhead()[0][0].Demand.Kcb; ahead != enough.crops[0][0].Demand.Kcb {
		t.Errorf("to come it is %.4f", ahead)
	}

	if own := walk("weather.csv", head, head+more.String(), "farm.toml", `like = "corn"`, "like = \"corn\"\nkc_ini = 0.45"); own.crops[0][0].Demand.Kcb != 0.45 {
		t.Errorf("Kc ini of farm.toml is not taken: %g", own.crops[0][0].Demand.Kcb)
	}
	if dual := walk("farm.toml", `mode = "single"`, `mode = "dual"`); len(dual.Doubts) != 0 || dual.wet != nil {
		t.Errorf("dual mode: %v", dual.Doubts)
	}
}
