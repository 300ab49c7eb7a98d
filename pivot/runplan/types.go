// Package runplan decides when each machine runs: it holds the problem, the
// plan, the one evaluator that judges any plan, and the planner.
package runplan

import (
	"time"

	"sandwick/pivot"
	"sandwick/soilwater"

	"github.com/golang-sql/civil"
)

// Problem is everything a plan is made from. The planner sees nothing else.
type Problem struct {
	Now      time.Time // in the farm's time zone; days of the plan are its calendar days
	Days     int       // horizon in calendar days, the first holding Now
	Wells    []Well
	Machines []Machine
	Prices   Prices
}

// Machine is one pivot with the state of the ground under it.
type Machine struct {
	pivot.Machine
	SliceDeg float64       // width of a slice; Slices = 360/SliceDeg
	ArmDeg   pivot.Azimuth // where the arm stands
	FreeAt   time.Time     // when the pass now running (if any) ends; Now if parked
	SliceM2  []float64     // wetted area of each slice; 0 outside the stops
	Zones    []Zone
	Cells    []Cell
	NoWater  []Window // no-water periods: before a cut, re-entry, field work, stated by the grower
	NoRun    []Window // hours the machine itself may not move
}

// Window is a stretch of time [From, To) with the reason a person would give.
type Window struct {
	From, To time.Time
	Why      string
}

// Well feeds one or more machines.
type Well struct {
	Name           string
	FlowM3H        float64
	NoRun          []Window                // load control and such, already unrolled over the horizon
	EnergyPerKWh   func(time.Time) float64 // currency per kWh by clock time
	SeasonM3Left   float64                 // what is left of the season's withdrawal limit; +Inf without one
	MaxHoursPerDay float64                 // pumping hours allowed a calendar day; 24 without a limit
}

// Zone is one zone of a machine's ground: what all its cells share.
type Zone struct {
	Field, Name     string
	Column          *soilwater.Column
	Demand          []soilwater.Demand             // by day of the horizon
	TableM          []float64                      // water-table depth by day of the horizon, m; +Inf out of reach
	RainMM          []float64                      // expected rain by day of the horizon
	TriggerMM       func(taw, raw float64) float64 // nil: RAW
	IntakeMMPerH    float64                        // the soil's intake rate; NaN unknown
	YieldValuePerM2 float64                        // crop value, currency per m²
	Ky              float64
	SeasonETMM      float64 // unstressed seasonal ET, for the cost of stress
}

// Cell is zone × slice with its water at the end of yesterday.
type Cell struct {
	pivot.Cell
	State soilwater.State
}

// Prices are what the cost terms are made of, in the farm's currency.
type Prices struct {
	LabourPerStart  float64
	LeachedPerMM_ha float64 // value of nitrogen lost per mm of percolation and hectare
}

// Plan is what to run. Its JSON is part of the program's contract; see the farm folder's plan.json.
type Plan struct {
	Passes []Pass
	Zones  []ZoneDecision
	Idle   []Idle
}

// Pass is one continuous trip of a machine.
type Pass struct {
	Pivot, Well                          string
	Start, End                           time.Time
	Clockwise                            bool
	StartDeg, StopDeg                    pivot.Azimuth
	VolumeM3, PumpHours, EnergyKWh, Cost float64
	Legs                                 []Leg
}

// Leg is part of a pass with one timer setting.
type Leg struct {
	FromDeg, ToDeg pivot.Azimuth
	Water          bool
	TimerPct       float64
	GrossMM, NetMM float64
	Start, End     time.Time
	Why            Reason
}

// Reason is why something is done or left: facts only; cmd turns it into words.
type Reason struct {
	Code                           ReasonCode
	Field, Zone                    string
	Date                           civil.Date // when the driver cell reaches its trigger or stress; zero if never in the horizon
	DepletionMM, TriggerMM, TableM float64
	RainMM                         float64
	Other                          string // the machine, window or limit that stands in the way
}

// ReasonCode names the kinds of reason.
type ReasonCode uint8

// ZoneDecision is what the plan does for one zone.
type ZoneDecision struct {
	Field, Zone, Pivot             string
	DepletionMM, TriggerMM, TableM float64
	Decision                       string  // "water", "skip", "wait"
	DaysLeftMin, DaysLeftMax       float64 // days until the trigger; +Inf beyond the horizon
	Why                            Reason
}

// Idle is a machine that is not run, and why.
type Idle struct {
	Pivot string
	Why   Reason
}
