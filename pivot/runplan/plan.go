package runplan

// This file has the plan: what comes out.

import (
	"time"

	"sandwick/pivot"
)

// Plan is what to run. What decides it is, per pass: Pivot, Start, Clockwise,
// StartDeg, Pauses and each leg's FromDeg, ToDeg, Water and TimerPct. All the
// rest follows from these and is filled in by [Evaluate] (Result.Passes), so a
// plan that was read back needs only these.
type Plan struct {
	Passes []Pass // by start time, then pivot
	Zones  []ZoneDecision
	Idle   []Idle
	Behind []Behind // ground that falls behind because capacity is short
	Cost   Cost     // as Evaluate gives it
	Search Search
	// Expected is the cost over the scenarios, later passes decided anew in each;
	// nil without scenarios. Cost is that of the weather that the zones have.
	Expected *Expected
}

// Pass is one continuous trip of a machine. The machine may stand still on the
// way (Pauses) and go on from where it stopped.
type Pass struct {
	Pivot, Well         string
	Start, End          time.Time
	Clockwise           bool
	StartDeg, StopDeg   pivot.Azimuth
	Pauses              []Window // stretches within Start..End in which the machine stands
	VolumeM3, EnergyKWh float64
	PumpHours           float64 // hours running wet
	Cost                float64 // energy, fuel and labour of this pass
	Legs                []Leg
	Why                 Reason // the ground that drives the pass
	Wait                Reason // why it does not start sooner; Code None when it starts at once
}

// Leg is part of a pass with one timer setting. It runs from FromDeg to ToDeg
// in the direction of the pass; FromDeg == ToDeg is the full circle.
type Leg struct {
	FromDeg, ToDeg pivot.Azimuth
	Water          bool
	TimerPct       float64
	GrossMM, NetMM float64   // mean over the leg; 0 when dry
	Start, End     time.Time // clock times, pauses included
	Why            Reason
}

// Decision is what a plan does about a zone before the end of tomorrow.
type Decision string

// The decisions.
const (
	Water Decision = "water" // a pass that starts today or tomorrow waters it
	Wait  Decision = "wait"  // it will need water, but not from a pass of today or tomorrow
	Skip  Decision = "skip"  // it is safe beyond the horizon as the settings stand: leave it alone; Risk says whether at every end too
)

// ZoneDecision is what the plan does for one zone of one machine.
type ZoneDecision struct {
	Field, Zone, Pivot             string
	DepletionMM, TriggerMM, TableM float64 // now, of the driest cell
	Decision                       Decision
	FirstWater                     time.Time // when the first planned water reaches it; zero if none
	DaysLeftMin, DaysLeftMax       float64   // Left.Due.Min and Max: days from Now until its first ground reaches the trigger without more water; +Inf beyond the horizon
	Left                           Left      // the same in full
	Risk                           bool      // skipped, though at some end it comes due within the horizon or before the next pass; Why.By says which
	Why                            Reason
}

// Idle is a machine that is not run at all in the horizon, and why.
type Idle struct {
	Pivot string
	Why   Reason
}

// Behind is a zone that passes its trigger although water is planned as well
// as the machines can.
type Behind struct {
	Field, Zone, Pivot string
	From               time.Time // when its first cell passes the trigger
	AreaM2             float64   // how much of it does
	WorstMM            float64   // furthest past the trigger, a fiftieth of the zone left out, mm
	StressDays         int       // days on which any of it is stressed (Ks < 1)
	MissedMM           float64   // ET missed through the horizon, mean over the zone, mm
	Why                Reason    // what keeps its machine from running once more; Code Due: nothing but its own speed and the well's
}

// Search says how the plan was found.
type Search struct {
	Bound      float64 // no plan costs less: see bound.go
	Candidates int     // plans evaluated
	TimedOut   bool    // the context ended the search early: the plan is the best found until then
}
