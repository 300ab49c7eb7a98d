// Passes as water: volumes kept whatever the way the arm goes.

package fields

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"sandwick/fields/records"
	"sandwick/pivot"
)

// Whatever is pumped lies on the ground or came of no wetted slice, each hour
// of a pass is booked on one day, and the machine's own reckoning of the water
// of a leg is met.
func TestWaterIsKept(t *testing.T) {
	const seed = 20250601
	rnd := rand.New(rand.NewPCG(seed, 0))
	f := mustLoad(t, smallFarm(t,
		"farm.toml", "slice_deg = 90", "slice_deg = 5",
		"farm.toml", "parked_deg = 0", "start_deg = 313\nstop_deg = 247\nend_gun_throw_m = 25\nend_gun_flow_m3h = 11\nend_gun_arcs = [[20, 77], [180, 203]]",
		"records/passes.csv", "", "<none>"))
	m, g := &f.Pivots[0].Machine, &f.ground.machines[0]
	first := date(t, "2025-10-31") // over the end of summer time
	cal := newCalendar(first, 8, f.Location)
	for trial := range 400 {
		p := records.Pass{Pivot: "Wheel", Water: true, Clockwise: rnd.IntN(2) == 0}
		from, span := rnd.Float64()*290, 0.0
		switch trial % 4 {
		case 0: // edges of slices
			from, span = 5*math.Floor(from/5), 5*float64(1+rnd.IntN(3))
		default:
			span = 0.01 + rnd.Float64()*(293.9-from)
		}
		if from+span > 294 {
			span = 294 - from
		}
		a, b := pivot.Azimuth(313+from).Norm(), pivot.Azimuth(313+from+span).Norm()
		p.From, p.To = a, b
		if !p.Clockwise {
			p.From, p.To = b, a
		}
		p.Start = cal.start[0].Add(time.Duration(rnd.IntN(4*24*3600)) * time.Second)
		p.End = p.Start.Add(time.Duration(60+rnd.IntN(3*24*3600)) * time.Second)
		w := watering{len(g.slices), make([]float64, cal.days()*len(g.slices)), make([]Pumping, cal.days())}
		w.add(m, g, &p, cal)

		want := m.LegUse(p.Arc(), m.PassHours(p.Arc(), 100)/p.Hours()*100, true)
		var m3, ground, h float64
		for d, x := range w.pumped {
			m3 += x.VolumeM3
			h += x.Hours
			for s := range w.slices {
				ground += w.grossMM[d*w.slices+s] * g.sliceM2[s] / 1000
			}
		}
		for what, diff := range map[string]float64{
			"pumped against the machine's own": m3/want.VolumeM3 - 1, "on the ground against pumped": ground/m3 - 1, "hours": h/p.Hours() - 1,
		} {
			if !(math.Abs(diff) < 1e-9) {
				t.Fatalf("seed %d, trial %d, %+v: %s is off by %g", seed, trial, p, what, diff)
			}
		}
	}
}

func TestArmAt(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "records/passes.csv", "2025-06-02T18:00,2025-06-03T18:00,0,0,cw,50,yes,",
		"2025-06-02T18:00,2025-06-03T18:00,0,90,cw,,yes,\nWheel,2025-06-05T06:00,2025-06-05T09:00,90,45,ccw,,no,"))
	at := func(text string) time.Time {
		d, err := time.ParseInLocation("2006-01-02T15:04", text, f.Location)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	for text, want := range map[string]Arm{
		"2025-06-02T17:59": {At: 0},
		"2025-06-02T18:00": {At: 90, FreeAt: at("2025-06-03T18:00"), Running: true, Water: true},
		"2025-06-03T18:00": {At: 90},
		"2025-06-05T08:00": {At: 45, FreeAt: at("2025-06-05T09:00"), Running: true},
		"2025-06-09T08:00": {At: 45},
	} {
		got := f.ArmAt(0, at(text))
		if got.At != want.At || !got.FreeAt.Equal(want.FreeAt) || got.Running != want.Running || got.Water != want.Water {
			t.Errorf("%s: %+v, want %+v", text, got, want)
		}
	}
}
