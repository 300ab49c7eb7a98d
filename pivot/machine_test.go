package pivot

import (
	"errors"
	"math"
	"testing"

	"github.com/paulmach/orb"
)

func TestValidate(t *testing.T) {
	if err := flats().Validate(); err != nil {
		t.Fatalf("a sound machine is refused: %v", err)
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name  string
		spoil func(m *Machine)
		want  string
	}{
		{"no name", func(m *Machine) { m.Name = " " }, `Name: a pivot needs a name (got "")`},
		{"swapped", func(m *Machine) { m.Center = orb.Point{41.62, -86.51} }, "Center: longitude and latitude look swapped: longitude comes first, latitude must be from -85 to 85 (got [41.62 -86.51])"},
		{"nowhere", func(m *Machine) { m.Center = orb.Point{nan, 41} }, "Center: must be longitude from -180 to 180, then latitude from -85 to 85 (got [NaN 41])"},
		{"pole", func(m *Machine) { m.Center = orb.Point{100, 89} }, "Center: must be longitude from -180 to 180, then latitude from -85 to 85 (got [100 89])"},
		{"no length", func(m *Machine) { m.LengthM = 0 }, "LengthM: must be from 10 to 2000 m (got 0)"},
		{"length NaN", func(m *Machine) { m.LengthM = nan }, "LengthM: must be from 10 to 2000 m (got NaN)"},
		{"no flow", func(m *Machine) { m.FlowM3H = 0 }, "FlowM3H: must be from 0.5 to 3000 m³/h (got 0)"},
		{"no hours", func(m *Machine) { m.HoursAtFull = 0 }, "HoursAtFull: must be from 0.5 to 500 h (got 0)"},
		{"endless hours", func(m *Machine) { m.HoursAtFull = inf }, "HoursAtFull: must be from 0.5 to 500 h (got +Inf)"},
		{"gun nowhere", func(m *Machine) { m.EndGunM = 20 }, "EndGunArcs: say where the end gun runs; one arc from 0 to 360 if it runs all the way round (got none)"},
		{"arcs without gun", func(m *Machine) { m.EndGunArcs = []Arc{{1, 2}} }, "EndGunM: must be above 0 where arcs for the end gun are given (got 0)"},
		{"flow without gun", func(m *Machine) { m.EndGunM3H = 5 }, "EndGunM: must be above 0 where a flow for the end gun is given (got 0)"},
		{"gun too long", func(m *Machine) { m.EndGunM, m.EndGunArcs = 150, []Arc{{}} }, "EndGunM: must be from 0 to 100 m (got 150)"},
		{"gun arc", func(m *Machine) { m.EndGunM, m.EndGunArcs = 15, []Arc{{Azimuth(nan), 3}} }, "EndGunArcs: both ends of an arc must be azimuths in degrees (got {NaN 3})"},
		{"stops", func(m *Machine) { m.Stops = &Arc{3, Azimuth(inf)} }, "Stops: both stops must be azimuths in degrees (got {3 +Inf})"},
		{"one way", func(m *Machine) { m.Stops, m.Reversible = &Arc{30, 300}, false }, "Reversible: a part circle must be able to run both ways, or it cannot come back from its stop (got false)"},
		{"timer", func(m *Machine) { m.TimerMaxPct = 110 }, "TimerMaxPct: must be from 0.1 to 100 % (got 110)"},
		{"timer crossed", func(m *Machine) { m.TimerMinPct, m.TimerMaxPct = 60, 50 }, "TimerMinPct: must not be above TimerMaxPct, 50 (got 60)"},
		{"timer zero", func(m *Machine) { m.TimerMinPct = 0 }, "TimerMinPct: must be from 0.1 to 100 % (got 0)"},
		{"no depth", func(m *Machine) { m.MaxGrossMM = 0 }, "MaxGrossMM: must be above 0 mm, or infinite where there is no limit (got 0)"},
		{"depth out of reach", func(m *Machine) { m.MaxGrossMM = 5 }, "MaxGrossMM: must be at least the 7.37 mm that the machine leaves at its fastest timer (got 5)"},
		{"no legs", func(m *Machine) { m.MaxLegs = 0 }, "MaxLegs: must be at least 1 (got 0)"},
		{"percent", func(m *Machine) { m.Efficiency = 85 }, "Efficiency: must be above 0 and at most 1 (100 %) (got 85)"},
		{"wetted", func(m *Machine) { m.WettedM = 0 }, "WettedM: must be above 0 and at most 100 m, or not given (got 0)"},
		{"power", func(m *Machine) { m.PowerKW = -1 }, "PowerKW: must be from 0 to 2000 kW (got -1)"},
		{"dry power", func(m *Machine) { m.DryPowerKW = nan }, "DryPowerKW: must be from 0 to 2000 kW (got NaN)"},
		{"two at once", func(m *Machine) { m.MaxLegs, m.LengthM = 0, 5 }, "LengthM: must be from 10 to 2000 m (got 5)\nMaxLegs: must be at least 1 (got 0)"},
	} {
		m := flats()
		c.spoil(m)
		err := m.Validate()
		if err == nil || err.Error() != c.want {
			t.Errorf("%s: got %v\nwant %s", c.name, err, c.want)
		}
		var f Faults
		if !errors.As(err, &f) || len(f) == 0 {
			t.Errorf("%s: not Faults", c.name)
		}
	}
	m := flats()
	m.WettedM, m.MaxGrossMM, m.Stops = nan, inf, &Arc{}
	if err := m.Validate(); err != nil {
		t.Errorf("not known and no limit are refused: %v", err)
	}
}
