// The machine as it is built, and the checks that it could exist.

package pivot

import (
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb"
)

// Machine is one centre pivot as it is built. Nothing in it changes from day to
// day. The zero Machine is not usable; see [Machine.Validate].
type Machine struct {
	Name        string
	Well        string
	Center      orb.Point // lon, lat of the pivot point, degrees, WGS 84
	LengthM     float64   // reach of the last nozzle without end gun, m
	Stops       *Arc      // nil: full circle; else the part circle it may travel. From == To: a full turn that ends at a barrier
	EndGunM     float64   // what the end gun adds to the wetted radius where it runs, m; 0 none
	EndGunArcs  []Arc     // where it runs, arm azimuths; they may overlap
	FlowM3H     float64   // flow with the end gun off, m³/h
	EndGunM3H   float64   // flow added while the gun runs, m³/h; 0 where the pump gives no more and the nozzles share with the gun
	HoursAtFull float64   // hours for a full circle at timer 100 %, for a part circle too
	TimerMinPct float64
	TimerMaxPct float64
	MaxGrossMM  float64 // most water in one pass, gross mm; +Inf where there is no limit
	MaxLegs     int     // most timer changes the panel can hold in one pass
	Efficiency  float64 // net / gross, 0..1
	WettedM     float64 // width wetted at the outer end by one nozzle, along the travel, m; NaN not known
	PowerKW     float64 // electric power of pump and drive while running wet, kW
	DryPowerKW  float64 // electric power while walking dry, kW
	Reversible  bool    // can run both ways; otherwise clockwise only
}

// Fault is one thing wrong with a Machine.
type Fault struct {
	Field string // the field of Machine
	Got   string // its value as text
	Msg   string // what is wrong and what would be accepted
}

func (f Fault) Error() string { return fmt.Sprintf("%s: %s (got %s)", f.Field, f.Msg, f.Got) }

// Faults is everything wrong with one Machine. As an error it is never empty.
type Faults []Fault

func (f Faults) Error() string {
	s := make([]string, len(f))
	for i := range f {
		s[i] = f[i].Error()
	}
	return strings.Join(s, "\n")
}

// The limits of what is taken for a real machine. Common practice, no published
// source, and wide: they catch a wrong unit or a slipped decimal point.
const (
	minLengthM, maxLengthM = 10, 2000
	maxEndGunM             = 100
	minFlowM3H, maxFlowM3H = 0.5, 3000
	minHours, maxHours     = 0.5, 500
	maxWettedM             = 100
	maxPowerKW             = 2000
	maxLatDeg              = 85
)

// Validate returns nil or a [Faults] that names every field that is out of range
// and what would be accepted.
func (m *Machine) Validate() error {
	var f Faults
	add := func(field string, got any, msg string) {
		f = append(f, Fault{field, fmt.Sprint(got), msg})
	}
	within := func(field string, v, lo, hi float64, unit string) bool {
		if v >= lo && v <= hi {
			return true
		}
		add(field, v, fmt.Sprintf("must be from %g to %g%s", lo, hi, unit))
		return false
	}

	if strings.TrimSpace(m.Name) == "" {
		add("Name", `""`, "a pivot needs a name")
	}
	lon, lat := m.Center.Lon(), m.Center.Lat()
	switch {
	case math.Abs(lat) <= maxLatDeg && math.Abs(lon) <= 180:
	case math.Abs(lon) <= maxLatDeg && math.Abs(lat) <= 180:
		add("Center", m.Center, "longitude and latitude look swapped: longitude comes first, latitude must be from -85 to 85")
	default:
		add("Center", m.Center, "must be longitude from -180 to 180, then latitude from -85 to 85")
	}
	lengthOK := within("LengthM", m.LengthM, minLengthM, maxLengthM, " m")
	flowOK := within("FlowM3H", m.FlowM3H, minFlowM3H, maxFlowM3H, " m³/h")
	hoursOK := within("HoursAtFull", m.HoursAtFull, minHours, maxHours, " h")
	within("EndGunM", m.EndGunM, 0, maxEndGunM, " m")
	within("EndGunM3H", m.EndGunM3H, 0, maxFlowM3H, " m³/h")
	for _, c := range m.EndGunArcs {
		if !finite(c.From) || !finite(c.To) {
			add("EndGunArcs", c, "both ends of an arc must be azimuths in degrees")
		}
	}
	switch {
	case m.EndGunM > 0 && len(m.EndGunArcs) == 0:
		add("EndGunArcs", "none", "say where the end gun runs; one arc from 0 to 360 if it runs all the way round")
	case m.EndGunM == 0 && len(m.EndGunArcs) > 0:
		add("EndGunM", m.EndGunM, "must be above 0 where arcs for the end gun are given")
	case m.EndGunM == 0 && m.EndGunM3H > 0:
		add("EndGunM", m.EndGunM, "must be above 0 where a flow for the end gun is given")
	}
	if m.Stops != nil {
		if !finite(m.Stops.From) || !finite(m.Stops.To) {
			add("Stops", *m.Stops, "both stops must be azimuths in degrees")
		} else if !m.Reversible {
			add("Reversible", m.Reversible, "a part circle must be able to run both ways, or it cannot come back from its stop")
		}
	}
	timerOK := within("TimerMinPct", m.TimerMinPct, 0.1, 100, " %")
	timerOK = within("TimerMaxPct", m.TimerMaxPct, 0.1, 100, " %") && timerOK
	if timerOK && m.TimerMinPct > m.TimerMaxPct {
		add("TimerMinPct", m.TimerMinPct, fmt.Sprintf("must not be above TimerMaxPct, %g", m.TimerMaxPct))
		timerOK = false
	}
	if !(m.MaxGrossMM > 0) {
		add("MaxGrossMM", m.MaxGrossMM, "must be above 0 mm, or infinite where there is no limit")
	} else if least := m.gross(m.TimerMaxPct, false); lengthOK && flowOK && hoursOK && timerOK && least > m.MaxGrossMM {
		add("MaxGrossMM", m.MaxGrossMM, fmt.Sprintf("must be at least the %.3g mm that the machine leaves at its fastest timer", least))
	}
	if m.MaxLegs < 1 {
		add("MaxLegs", m.MaxLegs, "must be at least 1")
	}
	if !(m.Efficiency > 0 && m.Efficiency <= 1) {
		add("Efficiency", m.Efficiency, "must be above 0 and at most 1 (100 %)")
	}
	if !math.IsNaN(m.WettedM) && !(m.WettedM > 0 && m.WettedM <= maxWettedM) {
		add("WettedM", m.WettedM, fmt.Sprintf("must be above 0 and at most %d m, or not given", maxWettedM))
	}
	within("PowerKW", m.PowerKW, 0, maxPowerKW, " kW")
	within("DryPowerKW", m.DryPowerKW, 0, maxPowerKW, " kW")
	if len(f) == 0 {
		return nil
	}
	return f
}

func finite(a Azimuth) bool { return !math.IsNaN(float64(a)) && !math.IsInf(float64(a), 0) }
