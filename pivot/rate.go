// How hard it rains at the outer end, against what the soil takes in.

package pivot

import "math"

// WettedHours is how long the pattern of the outermost nozzle takes to pass over
// one spot at a timer, hours: WettedM / ground speed at LengthM.
func (m *Machine) WettedHours(timerPct float64) float64 {
	return m.WettedM / m.SpeedMPerH(timerPct, m.LengthM)
}

// PeakMMPerH is the highest application rate under the outermost nozzle, mm/h.
// The pattern is taken as half an ellipse over the wetted width, whose mean is
// π/4 of its peak, so that
//
//	π/4 × peak × WettedHours = gross depth
//
// at every timer: the rate does not depend on the timer. In inches per hour,
// gallons a minute and feet it is 122.5 Q/(R r) with r half the wetted width. It
// is the rate of the nozzles; the end gun's own pattern beyond them is not in it.
// NaN where the wetted width is not known.
func (m *Machine) PeakMMPerH() float64 {
	return 4 / math.Pi * m.gross(100, false) / m.WettedHours(100)
}

// Intake is the check of the application rate against the soil.
type Intake struct {
	PeakMMPerH   float64
	IntakeMMPerH float64
	PondedMM     float64 // of one pass's depth, what falls faster than the soil takes it: it must stand on the surface or run off
}

// Over reports whether the peak rate is above the intake rate: a warning, since
// what ponds may still soak in where it stands.
func (c Intake) Over() bool { return c.PeakMMPerH > c.IntakeMMPerH }

// CheckIntake compares the rate at the outer end with a steady intake rate, mm/h,
// for a pass at a timer. Intake that falls as the soil wets would pond more. NaN
// for the intake or the wetted width gives NaN and no warning.
func (m *Machine) CheckIntake(intakeMMPerH, timerPct float64) Intake {
	c := Intake{PeakMMPerH: m.PeakMMPerH(), IntakeMMPerH: intakeMMPerH}
	k := max(0, intakeMMPerH/c.PeakMMPerH)
	if k >= 1 {
		return c
	}
	// Rate peak·√(1-u²) over u from -1 to 1, half the wetted time to the unit of u,
	// less peak·k where it is above that: ∫ = peak·T/2·(asin u₀ - k·u₀), u₀ = √(1-k²).
	u0 := math.Sqrt(1 - k*k)
	c.PondedMM = c.PeakMMPerH * m.WettedHours(timerPct) / 2 * (math.Asin(u0) - k*u0)
	return c
}
