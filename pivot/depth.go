// Water: depth, timer, volume, hours of pumping and energy.

package pivot

// GrossMM is the gross depth the arm leaves at an azimuth when it passes at a
// timer, mm: flow × time / area, the area reaching as far as the end gun where it
// runs. 0 outside the stops. The timer is not held to the machine's limits; at 0
// the arm stands still and the depth is +Inf.
func (m *Machine) GrossMM(timerPct float64, a Azimuth) float64 {
	if !m.InStops(a) {
		return 0
	}
	return m.gross(timerPct, m.GunOn(a))
}

// gross takes flow and area of one degree of the circle.
func (m *Machine) gross(timerPct float64, gun bool) float64 {
	flow, r := m.FlowM3H, m.LengthM
	if gun {
		flow += m.EndGunM3H
		r += m.EndGunM
	}
	return 1000 * flow * m.hoursPerDeg(timerPct) / (r * r / 2 * deg)
}

// SliceGrossMM is the mean gross depth over the wetted ground of a slice that the
// arm passes wholly at one timer, mm; 0 for a slice outside the stops.
func (m *Machine) SliceGrossMM(s Slice, timerPct float64) float64 {
	if s.AreaM2 == 0 {
		return 0
	}
	return 1000 * m.SliceM3(s, timerPct) / s.AreaM2
}

// SliceM3 is the water pumped while the arm passes a slice at a timer, m³.
func (m *Machine) SliceM3(s Slice, timerPct float64) float64 {
	return (m.FlowM3H*s.TravelDeg + m.EndGunM3H*s.GunDeg) * m.hoursPerDeg(timerPct)
}

// SliceHours is the time the arm takes over a slice at a timer, hours.
func (m *Machine) SliceHours(s Slice, timerPct float64) float64 {
	return s.TravelDeg * m.hoursPerDeg(timerPct)
}

// TimerFor is the timer that leaves a gross depth at an azimuth, held to the
// timer's range and to MaxGrossMM; held says what stood in the way. A depth of 0
// or less asks for the fastest timer; NaN gives NaN.
func (m *Machine) TimerFor(grossMM float64, a Azimuth) (timerPct float64, held Clamp) {
	if grossMM <= 0 {
		return m.TimerMaxPct, AtTimerMax
	}
	full := m.gross(100, m.GunOn(a))
	slowest, why := m.TimerMinPct, AtTimerMin
	if t := full / m.MaxGrossMM * 100; t > slowest {
		slowest, why = t, AtMaxGrossMM
	}
	return m.hold(full/grossMM*100, slowest, why)
}

// NetMM splits a gross depth into what reaches the root zone and what is lost on
// the way as spray: drift, evaporation, unevenness. net + loss = gross.
func (m *Machine) NetMM(grossMM float64) (net, loss float64) {
	net = grossMM * m.Efficiency
	return net, grossMM - net
}

// GrossForNetMM is the gross depth of which the given net depth reaches the root zone.
func (m *Machine) GrossForNetMM(netMM float64) float64 { return netMM / m.Efficiency }

// Use is what a leg takes.
type Use struct {
	Hours     float64 // on the way
	PumpHours float64 // of which with water
	VolumeM3  float64
	EnergyKWh float64
	AreaM2    float64 // wetted ground; 0 for a dry leg
	GrossMM   float64 // mean over AreaM2; 0 for a dry leg
}

// Add is the use of two legs together; GrossMM is the mean over both areas.
func (u Use) Add(v Use) Use {
	s := Use{u.Hours + v.Hours, u.PumpHours + v.PumpHours, u.VolumeM3 + v.VolumeM3, u.EnergyKWh + v.EnergyKWh, u.AreaM2 + v.AreaM2, 0}
	if s.AreaM2 > 0 {
		s.GrossMM = 1000 * s.VolumeM3 / s.AreaM2
	}
	return s
}

// LegUse is what passing an arc within the stops takes at a timer, wet or dry.
func (m *Machine) LegUse(c Arc, timerPct float64, water bool) Use {
	u := Use{Hours: m.PassHours(c, timerPct)}
	if !water {
		u.EnergyKWh = u.Hours * m.DryPowerKW
		return u
	}
	u.PumpHours = u.Hours
	u.EnergyKWh = u.Hours * m.PowerKW
	var gunDeg float64
	for _, s := range m.sectors(1) {
		d := Arc{Azimuth(s.from), Azimuth(s.to)}.Shared(c)
		u.AreaM2 += s.radiusM * s.radiusM / 2 * d * deg
		if s.gun {
			gunDeg += d
		}
	}
	u.VolumeM3 = u.Hours*m.FlowM3H + gunDeg*m.hoursPerDeg(timerPct)*m.EndGunM3H
	if u.AreaM2 > 0 {
		u.GrossMM = 1000 * u.VolumeM3 / u.AreaM2
	}
	return u
}

// CapacityMMPerDay is the gross depth that a day of 24 hours' pumping puts on all
// the machine's ground, mm/day, the end gun running its share of the way.
func (m *Machine) CapacityMMPerDay() float64 {
	travel := Arc{}
	if m.Stops != nil {
		travel = *m.Stops
	}
	u := m.LegUse(travel, 100, true)
	return u.GrossMM / u.Hours * 24
}
