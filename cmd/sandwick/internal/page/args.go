// What a page is made from.

package page

import (
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"

	"github.com/golang-sql/civil"
	"github.com/paulmach/orb"
)

// Args is everything on a page. All quantities are SI; NaN is not known. A part
// that is left out (nil or empty) is left off the page.
type Args struct {
	Kind     Kind
	Farm     string
	Now      time.Time // the moment the page tells of, in the farm's time zone
	Units    units.System
	Plan     *report.Plan   // nil: none is made
	Status   *report.Status // of a status page
	Season   *report.Season // of a season page
	Pivots   []Pivot
	Rainfed  []Zone // ground under no pivot
	Wells    []Well
	Weather  []WeatherDay
	Outlook  *report.Outlook // the dry spell to come
	Use      []Use
	Currency string
	Notes    []report.Note // what to take note of, beside the plan's own warnings
	Frame    *Frame        // of a page that is served; nil: the page stands alone
}

// Kind is what the page answers.
type Kind uint8

// The kinds of page.
const (
	RunPlan   Kind = iota // what to run
	Standing              // where the ground stands
	WaterBook             // what the season took
)

// Pivot is one machine and the ground under it.
type Pivot struct {
	Machine *pivot.Machine
	Slices  int
	Arm     pivot.Azimuth // where it stands, or is now
	Stop    pivot.Azimuth // where the pass under way will end
	BusyTo  time.Time     // end of the pass under way; zero: parked
	Wet     bool          // the pass under way waters
	Crops   []Crop
	Zones   []Zone
}

// Crop is one field under a pivot.
type Crop struct {
	Field, Crop, Stage string
	Cut                civil.Date // next planned cut; zero: none
	LastWater          time.Time  // when its dry days begin; zero where there is no cut
	DryDays            int
}

// Zone is one zone with the way of its water through the season and the days to come.
type Zone struct {
	Name, Field, Soil string
	Area              orb.MultiPolygon // longitude and latitude
	AreaM2            float64          // under the wetted circle
	TableM            float64          // depth of the water table; +Inf out of reach
	Fed               bool             // the water table gave at least half of what it used lately
	Cells             []Cell           // by slice; ground under no pivot has none
	Morning           Cell             // of the ground nearest to its trigger, as the day begins; its slice is not told
	Days              []SoilDay        // the season's days, then those ahead
	Ahead             int              // index of the first day ahead
}

// Cell is zone × slice as the day begins.
type Cell struct {
	Slice                  int
	DepletionMM, TriggerMM float64
}

// SoilDay is one day of one zone, mean over its ground; depletions at its end.
type SoilDay struct {
	Date                 civil.Date
	DepletionMM          float64
	DriestMM             float64 // of the driest cell
	LowMM, HighMM        float64 // range of the days ahead over what is not known of the ground
	TriggerMM            float64
	RainMM, IrrigationMM float64 // irrigation is gross
}

// Well is a well's hours through the plan.
type Well struct {
	Name  string
	NoRun []Span
	Lanes []Lane
}

// Lane is one pivot of a well: hours in which it runs, and may not.
type Lane struct {
	Pivot   string
	Runs    []Run
	NoRun   []Span // its own
	NoWater []Span // its ground may not be watered
}

// Span is a stretch of time with its reason.
type Span struct {
	From, To time.Time
	Why      string
}

// Run is a stretch in which a machine moves.
type Run struct {
	From, To time.Time
	Wet      bool
}

// WeatherDay is one day of weather, measured or expected.
type WeatherDay struct {
	Date          civil.Date
	EToMM, RainMM float64
	TmaxC, TminC  float64
	RainChance    float64 // 0..1; NaN where the forecast gives none
	Basis         string  // "measured", "forecast", ...
	Ahead         bool
}

// Use is the water taken from one well.
type Use struct {
	Well                              string
	TakenM3, Hours                    float64 // season to date
	PlannedM3                         float64 // by the passes of the plan
	LimitM3, LeftM3                   float64 // of the season; +Inf without a limit
	EnergyCost, FuelCost, LabourCosts float64 // season to date
}
