package pivot

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// The 800 gpm, 1300 ft machine at 50 %: 40 h and 0.58 in (testdata/printed.csv).
func ExampleMachine_GrossMM() {
	m := flats()
	fmt.Printf("%.1f h, %.2f in\n", m.PassHours(Arc{}, 50), m.GrossMM(50, 0)/25.4)
	timer, held := m.TimerFor(25.4, 0)
	fmt.Printf("%.1f %% for one inch, held back: %t\n", timer, held != NotClamped)
	// Output:
	// 40.0 h, 0.58 in
	// 29.0 % for one inch, held back: false
}

func TestTimerForIsInverse(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 71))
	for range 500 {
		m := someMachine(rng)
		m.MaxGrossMM = 25
		a := Azimuth(rng.Float64() * 360)
		want := rng.Float64() * 60
		timer, held := m.TimerFor(want, a)
		if !m.InStops(a) {
			if m.GrossMM(timer, a) != 0 {
				t.Errorf("seed 2,71: water outside the stops")
			}
			continue
		}
		got := m.GrossMM(timer, a)
		ok := false
		switch held {
		case NotClamped:
			ok = math.Abs(got-want) < 1e-9 && timer >= m.TimerMinPct && timer <= m.TimerMaxPct && got <= m.MaxGrossMM+1e-9
		case AtTimerMax:
			ok = timer == m.TimerMaxPct && got >= want
		case AtTimerMin:
			ok = timer == m.TimerMinPct && got <= want && got <= m.MaxGrossMM+1e-9
		case AtMaxGrossMM:
			ok = got <= want && (math.Abs(got-m.MaxGrossMM) < 1e-9 || timer == m.TimerMaxPct)
		}
		if !ok {
			t.Errorf("seed 2,71: wanted %v mm, timer %v (%v) leaves %v", want, timer, held, got)
		}
	}
}

func TestTimerForEdges(t *testing.T) {
	m := flats()
	for _, c := range []struct {
		gross, timer float64
		held         Clamp
	}{
		{0, 100, AtTimerMax}, {-3, 100, AtTimerMax}, {1, 100, AtTimerMax}, {math.Inf(1), m.GrossMM(100, 0) / 60 * 100, AtMaxGrossMM},
	} {
		timer, held := m.TimerFor(c.gross, 0)
		if math.Abs(timer-c.timer) > 1e-9 || held != c.held {
			t.Errorf("TimerFor(%v) = %v, %v; want %v, %v", c.gross, timer, held, c.timer, c.held)
		}
	}
	m.MaxGrossMM = math.Inf(1)
	if timer, held := m.TimerFor(500, 0); timer != 10 || held != AtTimerMin {
		t.Errorf("half a metre of water: %v, %v", timer, held)
	}
	if timer, _ := m.TimerFor(math.NaN(), 0); !math.IsNaN(timer) {
		t.Errorf("TimerFor(NaN) = %v", timer)
	}
	if h := m.PassHours(Arc{}, 0); !math.IsInf(h, 1) {
		t.Errorf("at timer 0 a round takes %v h", h)
	}
	hours := m.PassHours(Arc{10, 100}, 37)
	if timer, held := m.TimerForHours(Arc{10, 100}, hours); math.Abs(timer-37) > 1e-9 || held != NotClamped {
		t.Errorf("timer for %v h: %v, %v", hours, timer, held)
	}
	if timer, held := m.TimerForHours(Arc{10, 100}, 1e6); timer != 10 || held != AtTimerMin {
		t.Errorf("timer for a very long time: %v, %v", timer, held)
	}
	if timer, held := m.TimerForHours(Arc{10, 100}, 0); timer != 100 || held != AtTimerMax {
		t.Errorf("timer for no time: %v, %v", timer, held)
	}
}

// Water in = water on the ground, slice by slice and for the leg; net and spray
// loss make up the gross.
func TestWaterBalances(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 90))
	for range 100 {
		m := someMachine(rng)
		timer := 10 + 90*rng.Float64()
		slices, err := m.Slices(5)
		if err != nil {
			t.Fatal(err)
		}
		k, n := rng.IntN(72), 1+rng.IntN(71)
		var ground, pumped, hours float64
		for i := range n {
			s := slices[(k+i)%72]
			g := m.SliceGrossMM(s, timer)
			net, loss := m.NetMM(g)
			close(t, "net and loss", net+loss, g, 1e-12)
			close(t, "gross for net", m.GrossForNetMM(net), g, 1e-9)
			ground += g / 1000 * s.AreaM2
			pumped += m.SliceM3(s, timer)
			hours += m.SliceHours(s, timer)
			if s.GunDeg == 0 && s.TravelDeg > 5-1e-9 {
				close(t, "slice without gun", g, m.GrossMM(timer, slice72(k+i).Mid()), 1e-9)
			}
		}
		close(t, "water on the ground", ground, pumped, 1e-9*pumped+1e-9)
		if m.Stops == nil {
			u := m.LegUse(Arc{slice72(k).From, slice72(k + n - 1).To}, timer, true)
			close(t, "leg", u.VolumeM3, pumped, 1e-9*pumped)
			close(t, "leg hours", u.Hours, hours, 1e-9*hours)
			close(t, "leg energy", u.EnergyKWh, hours*60, 1e-6)
			close(t, "leg depth", u.GrossMM*u.AreaM2/1000, pumped, 1e-9*pumped)
		}
	}
	m := flats()
	dry := m.LegUse(Arc{0, 180}, 100, false)
	if want := (Use{Hours: 10, EnergyKWh: 80}); dry != want {
		t.Errorf("dry half round: %+v, want %+v", dry, want)
	}
}

// With the gun on, flow and area both change: worked by hand for 400 m + 30 m,
// 180 + 30 m³/h, 24 h round at 100 %, timer 50 %.
func TestEndGunDepth(t *testing.T) {
	m := flats()
	m.LengthM, m.FlowM3H, m.HoursAtFull = 400, 180, 24
	m.EndGunM, m.EndGunM3H, m.EndGunArcs = 30, 30, []Arc{{90, 180}}
	close(t, "gun off", m.GrossMM(50, 10), 180*48/(math.Pi*400*400)*1000, 1e-9) // 17.19 mm
	close(t, "gun on", m.GrossMM(50, 100), 210*48/(math.Pi*430*430)*1000, 1e-9) // 17.35 mm
	s, err := m.Slices(360)
	if err != nil {
		t.Fatal(err)
	}
	area := math.Pi * (400*400*0.75 + 430*430*0.25)
	close(t, "whole round", m.SliceGrossMM(s[0], 50), (180*48+30*12)/area*1000, 1e-9)
	close(t, "capacity", m.CapacityMMPerDay(), (180*24+30*6)/area*1000, 1e-9)
	m.Stops = &Arc{0, 180}
	half := math.Pi / 2 * (400*400 + 430*430) / 2
	close(t, "part circle area", m.AreaM2(), half, 1e-6)
	close(t, "part circle capacity", m.CapacityMMPerDay(), (180+15)*24/half*1000, 1e-9)
	close(t, "stopped", m.GrossMM(50, 200), 0, 0)
}

func TestRateIdentity(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 100 {
		m := someMachine(rng)
		m.WettedM = 3 + 20*rng.Float64()
		m.EndGunArcs = nil
		timer := 10 + 90*rng.Float64()
		gross := m.gross(timer, false)
		close(t, "π/4 × peak × wetted hours", math.Pi/4*m.PeakMMPerH()*m.WettedHours(timer), gross, 1e-9*gross)
		if c := m.CheckIntake(0, timer); !c.Over() {
			t.Error("rain on rock does not pond")
		} else {
			close(t, "all of it ponds", c.PondedMM, gross, 1e-9*gross)
		}
		// Against a sum over the passage of the ellipse.
		intake := m.PeakMMPerH() * rng.Float64()
		var sum float64
		const steps = 20000
		for i := range steps {
			u := (float64(i)+0.5)/steps*2 - 1
			sum += max(0, m.PeakMMPerH()*math.Sqrt(1-u*u)-intake) * m.WettedHours(timer) / steps
		}
		close(t, "ponded", m.CheckIntake(intake, timer).PondedMM, sum, 1e-5*gross)
	}
	m := flats()
	if c := m.CheckIntake(m.PeakMMPerH()*1.01, 10); c.Over() || c.PondedMM != 0 {
		t.Errorf("below the intake rate: %+v", c)
	}
	if c := m.CheckIntake(math.NaN(), 10); c.Over() || !math.IsNaN(c.PondedMM) {
		t.Errorf("unknown intake: %+v", c)
	}
	m.WettedM = math.NaN()
	if c := m.CheckIntake(10, 10); c.Over() || !math.IsNaN(c.PeakMMPerH) || !math.IsNaN(c.PondedMM) {
		t.Errorf("unknown wetted width: %+v", c)
	}
}

// GrossMM is in the planner's inner loop.
func BenchmarkGrossMM(b *testing.B) {
	m := flats()
	m.EndGunM, m.EndGunM3H, m.EndGunArcs = 25, 15, []Arc{{30, 61}, {200, 290}}
	b.ReportAllocs()
	var sum float64
	a := Azimuth(0)
	for b.Loop() {
		sum += m.GrossMM(50, a)
		if a++; a == 360 {
			a = 0
		}
	}
	if !(sum > 0) {
		b.Fatal(sum)
	}
}

// slice72 is slice i of 72, counted on past north.
func slice72(i int) Arc {
	from := Azimuth(5 * (i % 72))
	return Arc{from, (from + 5).Norm()}
}
