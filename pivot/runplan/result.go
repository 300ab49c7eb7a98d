package runplan

// This file has what the evaluator says of a plan.

import (
	"fmt"
	"slices"
	"time"
)

// Cost is the cost of a plan over the horizon in the farm's currency, term by term.
type Cost struct {
	Pumping     float64 // energy by hour of day, and fuel
	Labour      float64 // starts, and legs that are set
	Stress      float64 // yield lost to water stress
	Late        float64 // ground past its trigger, priced as if stress began there, beyond Stress
	Percolation float64 // nitrogen lost with percolation
	Preference  float64 // what the farm's wishes count for: protected fields, hours to avoid
	Carry       float64 // water owed at the end of the horizon, and the stress before it can be given
	Total       float64
}

// Result is what [Evaluate] says of a plan.
type Result struct {
	Violation *Violation // the first violated constraint; nil: feasible
	Cost      Cost
	Passes    []Pass // the plan's passes with every derived field filled in
	WaterM3   float64
	Hours     float64 // pumping hours, summed over machines
	EnergyKWh float64
	Zones     []ZoneResult // one per machine and zone, in the problem's order
}

// Feasible tells whether no constraint is violated.
func (r *Result) Feasible() bool { return r.Violation == nil }

// ZoneResult is what a plan does to one zone over the horizon.
type ZoneResult struct {
	Machine, Zone int // indices into Problem.Machines and Machine.Zones
	AreaM2        float64
	Priced        bool    // crop value and Ky are known, so that its stress is in the cost
	NetMM         float64 // mean planned water
	PercolationMM float64 // mean
	DeficitMM     float64 // mean unmet ET
	StressDays    int     // days on which any cell is stressed
	EndMM         float64 // mean depletion at the end of the horizon
	LateFrom      int     // first day on which a cell ends past its trigger; -1 never
	LateM2        float64 // area that is ever past it
	WorstMM       float64 // furthest past it
	past          []past  // ground that is ever past it
}

// past is ground that comes so far past its trigger.
type past struct{ mm, areaM2 float64 }

// furthest is how far the ground comes past its trigger that is furthest past it,
// the least part of the zone left out, and how much comes further than least.
func (z *ZoneResult) furthest(leave, least float64) (mm, areaM2 float64) {
	slices.SortFunc(z.past, func(a, b past) int { return cmpFloat(b.mm, a.mm) })
	sum := 0.0
	for _, p := range z.past {
		if sum += p.areaM2; mm == 0 && sum >= leave*z.AreaM2 {
			mm = p.mm
		}
		if p.mm > least {
			areaM2 += p.areaM2
		}
	}
	return mm, areaM2
}

// Constraint names one hard constraint.
type Constraint uint8

// The constraints, in the order in which they are looked at.
const (
	Busy         Constraint = iota + 1 // starts before the machine is free (or before now)
	ArmElsewhere                       // does not start where the arm stands
	Direction                          // runs against the only direction the machine has
	LegCount                           // more legs than the panel holds, or none
	LegsApart                          // a leg does not begin where the last one ended
	TimerRange                         // timer outside the machine's range
	Stops                              // leaves the part circle
	PassDepth                          // more water in one pass than allowed
	BadPause                           // a pause outside the pass, or pauses that overlap
	Horizon                            // ends after the horizon
	MachineNoRun                       // moves in hours in which it may not
	WellNoRun                          // runs wet in the well's no-run hours
	NoWaterTime                        // waters ground in a no-water period
	WellFlow                           // machines running at once draw more than the well gives
	DailyHours                         // more pumping hours in a day than allowed
	SeasonVolume                       // more water than is left of the season's limit
	LongStand                          // stands still for longer than MostStand
)

var constraintNames = [...]string{
	"", "machine busy", "arm elsewhere", "direction", "leg count", "legs apart", "timer range", "stops", "pass depth",
	"pause", "horizon", "machine no-run hours", "well no-run hours", "no-water period", "well flow", "daily hours",
	"season volume", "long stand",
}

// String names the constraint.
func (c Constraint) String() string {
	if int(c) < len(constraintNames) {
		return constraintNames[c]
	}
	return "unknown"
}

// Violation is a constraint that a plan breaks, where, and by how much.
type Violation struct {
	Constraint Constraint
	Pass       int // index into the plan's passes; -1 if it is of no single pass
	Leg        int // index into its legs; -1 if it is of no single leg
	Pivot      string
	Well       string
	At         time.Time
	Got, Limit float64 // in the unit of the constraint: degrees, percent, mm, hours, m³/h, m³
	Why        string  // the window's own reason
}

// Error says which constraint is broken, by what and when.
func (v *Violation) Error() string {
	s := v.Constraint.String()
	if v.Pivot != "" {
		s += ": " + v.Pivot
	} else if v.Well != "" {
		s += ": " + v.Well
	}
	if !v.At.IsZero() {
		s += " at " + v.At.Format("2006-01-02 15:04")
	}
	if v.Why != "" {
		s += ": " + v.Why
	}
	if v.Got != v.Limit {
		s += fmt.Sprintf(" (%.6g, limit %.6g)", v.Got, v.Limit)
	}
	return s
}
