// Package runplan decides when each machine runs: it holds the problem, the
// plan, the one evaluator that judges any plan, and the planner.
//
// Everything is SI: mm, m², m³, hours, degrees clockwise from north. Times are
// instants; a day is a calendar day in the location of Problem.Now, so that a
// day has 23 or 25 hours where the clock changes. The package reads no clock
// and no file: the same problem gives the same plan.
package runplan

// This file has the problem: what a plan is made from.

import (
	"time"

	"sandwick/pivot"
	"sandwick/soilwater"
)

// Problem is everything a plan is made from. The planner sees nothing else.
type Problem struct {
	Now      time.Time // in the farm's time zone; days of the plan are its calendar days
	Days     int       // horizon in calendar days, the first holding Now
	Wells    []Well
	Machines []Machine
	Prices   Prices

	// Scenarios are the ways in which the weather may go; none: as the zones have
	// it. Then the zones should have what is expected of it.
	Scenarios []Scenario
	// FirmDays is on how many calendar days the passes that start are decided now;
	// later ones are decided again each morning. 0: DefaultFirmDays. Read only
	// with Scenarios.
	FirmDays int
	// Known are plans that are known already, such as yesterday's: what comes out
	// costs no more than the best of them that can be run.
	Known [][]Pass
	// Effort is how long the search goes on against the usual, up to MostEffort;
	// 1 or less: the usual. The same effort gives the same plan.
	Effort float64
}

// MostEffort is the longest search there is: beyond it little is gained.
const MostEffort = 100

// DefaultFirmDays is today and tomorrow: what the grower is told to do.
const DefaultFirmDays = 2

// Scenario is one way in which the weather may go.
type Scenario struct {
	Name   string
	Weight float64     // how often against the others; above 0
	Zones  [][]Weather // by machine and zone, in the problem's order
}

// Weather is what a scenario brings to a zone; slices as in Zone.
type Weather struct {
	Demand []soilwater.Demand
	RainMM []float64
}

// under is the problem with a scenario in the place of its weather.
func (p *Problem) under(s *Scenario) Problem {
	q := *p
	q.Scenarios, q.Known = nil, nil
	q.Machines = append([]Machine(nil), p.Machines...)
	for i := range q.Machines {
		m := &q.Machines[i]
		m.Zones = append([]Zone(nil), m.Zones...)
		for z := range m.Zones {
			m.Zones[z].Demand, m.Zones[z].RainMM = s.Zones[i][z].Demand, s.Zones[i][z].RainMM
		}
	}
	return q
}

// Machine is one pivot with the state of the ground under it.
type Machine struct {
	pivot.Machine
	SliceDeg   float64       // width of a slice; there are 360/SliceDeg of them
	ArmDeg     pivot.Azimuth // where the arm stands at FreeAt
	FreeAt     time.Time     // when the pass now running (if any) ends; Now, or zero, if parked
	RunningM3H float64       // what the pass now running draws from the well until FreeAt, m³/h; 0 none or dry
	Recorded   []Draw        // what trips that are recorded but not yet begun draw from the well, in order of time; all before FreeAt
	SliceM2    []float64     // wetted area of each slice; 0 outside the stops
	Zones      []Zone
	Cells      []Cell
	NoWater    []Window // no-water periods of all its ground: before a cut, re-entry, field work
	NoRun      []Window // hours the machine itself may not move, wet or dry
}

// Window is a stretch of time [From, To) with the reason a person would give.
type Window struct {
	From, To time.Time
	Why      string
}

// Draw is a stretch [From, To) in which a machine takes water from its well.
type Draw struct {
	From, To time.Time
	M3H      float64
}

// Well feeds one or more machines.
type Well struct {
	Name           string
	FlowM3H        float64
	NoRun          []Window                // load control and such, already unrolled over the horizon; no machine runs wet then
	EnergyPerKWh   func(time.Time) float64 // currency per kWh by clock time, constant within a quarter of an hour; nil: no electricity
	FuelPerH       float64                 // fuel, currency per hour that one machine runs wet; 0 without an engine
	AvoidPerH      func(time.Time) float64 // what a machine's hour of pumping counts for beyond its price, currency by clock time, constant within a quarter of an hour; nil: nothing
	SeasonM3Left   float64                 // what is left of the season's withdrawal limit; +Inf without one
	MaxHoursPerDay float64                 // pumping hours allowed a calendar day; 24 or more: no limit
	HoursToday     float64                 // hours already pumped today before Now
}

// Zone is one zone of a machine's ground: what all its cells share. Slices by
// day have at least Problem.Days entries; the last day stands for the days after.
type Zone struct {
	Field, Name     string
	Column          *soilwater.Column
	Demand          []soilwater.Demand             // by day of the horizon
	TableM          []float64                      // water-table depth by day of the horizon, m; +Inf out of reach
	TableSEM        []float64                      // its standard error, m; nil: not known
	RainMM          []float64                      // expected rain by day of the horizon
	TriggerMM       func(taw, raw float64) float64 // nil: RAW
	IntakeMMPerH    float64                        // the soil's intake rate; NaN unknown
	YieldValuePerM2 float64                        // crop value at full yield, currency per m²; 0 or NaN not given: stress is not priced
	Ky              float64                        // seasonal yield response factor; NaN unknown: stress is not priced
	SeasonETMM      float64                        // unstressed seasonal ET, for the cost of stress
	Protect         float64                        // how many times its stress and lateness count; 1 or less, or NaN: once
	NoWater         []Window                       // no-water periods of this zone's field only
	Ends            []End                          // what is not known of the ground, one at a time; nil: one number
}

// Cell is zone × slice with its water at the end of yesterday.
type Cell struct {
	pivot.Cell
	State soilwater.State
	// EndStates are the water under each of the zone's Ends, followed from the
	// season's start; shorter: State.
	EndStates []soilwater.State
	GivenMM   []float64 // net water by day of the horizon that is not for the plan to decide: run today before Now, or coming from the pass now running; nil none
}

// Prices are what the cost terms are made of, in the farm's currency.
type Prices struct {
	LabourPerStart  float64 // every start, and every start again after a pause
	LabourPerLeg    float64 // every leg: setting it, and looking after it
	LeachedPerMM_ha float64 // value of nitrogen lost per mm of percolation and hectare
}
