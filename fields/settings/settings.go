// Package settings reads farm.toml: strict, every problem reported with its
// file, line, column and key, every quantity turned into SI. It knows nothing
// of the map, the weather or the records.
package settings

import (
	"math"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/crop"
	"sandwick/et/input"
	"sandwick/pivot"
)

// File is the name of the settings file in a farm folder.
const File = "farm.toml"

// Settings is a farm as farm.toml describes it. Names are unique in their
// kind and every reference has been found.
type Settings struct {
	Name     string
	Location *time.Location // of the farm's clocks
	US       bool           // display in US units
	Currency string
	Today    civil.Date // pins the day, for demonstrations; zero: the clock decides
	SliceDeg float64    // width of a slice

	Site     et.Site
	SitePos  input.Pos // of the latitude
	ZonePos  input.Pos // of the time zone
	TodayPos input.Pos
	Method   et.Method
	Start    Start

	Weather, Forecast, History Columns
	Imports                    Imports

	Wells  []Well
	Pivots []Pivot
	Fields []Field
	Soils  []Soil
	Probes Probes
	Prices Prices

	Outlook    Outlook
	Priorities Priorities
}

// Start is how the season begins and how the ground is modelled.
type Start struct {
	Date         civil.Date // the balance begins in the morning of this day
	End          civil.Date // last day of the season; zero: open
	Depletion    float64    // of total available water on Date, 0..1
	Single       bool       // single crop coefficient, no separate evaporation
	Layers       int
	Compensation float64 // most that a wet layer may give, as a multiple of its share of the roots
	// TablePlusMinusM is how well the depth of the water table is known on the
	// day the map states it, one standard error, m, for zones that do not say;
	// NaN: DefaultTablePlusMinusM.
	TablePlusMinusM float64
	Pos             input.Pos // of the start date
}

// Columns is how a weather file from elsewhere is read.
type Columns struct {
	input.Mapping
	HourEnding bool // hourly rows carry the time at which the hour ends
	Pos        input.Pos
	at         map[string]input.Pos // of each of Columns
}

// At is where the file says which column is taken for one of ours.
func (c *Columns) At(column string) (input.Pos, bool) { p, ok := c.at[column]; return p, ok }

// Window is a part of the day on some days, such as hours of load control.
type Window struct {
	From, To   int        // minutes after midnight, To up to 24*60; From > To runs over midnight
	Days       [7]bool    // by time.Weekday: the day on which it begins
	Start, End civil.Date // first and last day; zero: always
	Why        string
}

// Period is a stretch of time [From, To).
type Period struct {
	From, To time.Time
	Why      string
}

// Rate is a price of energy during a window.
type Rate struct {
	Window
	PerKWh float64
}

// Well feeds one or more pivots.
type Well struct {
	Name           string
	FlowM3H        float64
	NoRun          []Window
	SeasonLimitM3  float64 // +Inf without one
	MaxHoursPerDay float64
	PerKWh         float64 // price of energy outside peak windows; 0 free
	Peak           []Rate  // the first that holds counts
	FuelPerH       float64 // price of an engine's fuel per pumping hour; 0 none
	NitratePPM     float64 // nitrate-nitrogen in the water, mg/L; NaN unknown
	Meter          Meter
	Pos            input.Pos
}

// EnergyPerKWh is the price of energy at an instant.
func (w *Well) EnergyPerKWh(t time.Time) float64 {
	for i := range w.Peak {
		if w.Peak[i].Holds(t) {
			return w.Peak[i].PerKWh
		}
	}
	return w.PerKWh
}

// Pivot is a machine with what the farm says of it beyond its build.
type Pivot struct {
	pivot.Machine
	Parked pivot.Azimuth // where the arm stands until the first recorded pass
	NoRun  []Window
	Pos    input.Pos
}

// Field is one cropped block. A field without a pivot is watered by rain only.
type Field struct {
	Name        string
	Pivot       string
	Crop        crop.Crop
	CropName    string
	Start, End  civil.Date // planting or green-up; End zero: the crop's own stage lengths or the season's end
	DryDays     int        // before a cut
	DryAfter    int        // after a cut, beyond its day: hay lies and is hauled, neither water nor a machine comes
	DryAfterSet bool       // and so by farm.toml
	PlannedCuts []civil.Date
	NoWater     []Period
	Trigger     float64 // depletion at which a pass is due, as a fraction of TAW; NaN: RAW
	CurveNumber float64 // NaN: the soil's
	ValuePerM2  float64 // gross value at full yield; 0 unknown
	Pos         input.Pos
}

// Soil is one kind of ground.
type Soil struct {
	Name       string
	Hydraulics string  // name of a published parameter set
	ReachM     float64 // distance over which the table can feed 6 mm/day; NaN: the set's own
	// ReachPlusMinusM is how well the reach is known, m; NaN: by [Soil.ReachDoubt].
	ReachPlusMinusM float64
	FieldCapacity   float64 // m³/m³; NaN: from the set
	WiltingPoint    float64 // m³/m³; NaN: from the set
	REWMM, TEWMM    float64 // NaN: from FAO-56 Eq. 73 and the texture
	IntakeMMPerH    float64 // NaN unknown
	CurveNumber     float64 // NaN: no runoff is computed
	Horizons        []Horizon
	Pos             input.Pos
}

// Horizon is a layer of the ground that differs from the rest.
type Horizon struct {
	TopM, BottomM               float64
	Hydraulics                  string
	FieldCapacity, WiltingPoint float64 // NaN: from the set
}

// ReachDoubt is the plus-minus of a reach of reachM: the soil's own, or else a
// tenth of a reach that farm.toml sets and a quarter of a parameter set's. The
// shares are assumptions, no published source: a grower who sees where the crop
// stays green places the edge to a few inches; among the sets of the sands the
// reach runs from 0.19 to 0.89 m.
func (o *Soil) ReachDoubt(reachM float64) float64 {
	switch {
	case !math.IsNaN(o.ReachPlusMinusM):
		return o.ReachPlusMinusM
	case math.IsNaN(o.ReachM):
		return 0.25 * reachM
	}
	return 0.1 * reachM
}

// Probes are the standard errors, as volumetric water contents (m³/m³), by
// which probe readings are weighed against the books where a zone merges them.
type Probes struct {
	Error      float64 // of one reading, instrument and place together
	ModelError float64 // of the books when nothing has been read for long
	ModelDrift float64 // what the books' variance gains in a day: its root
}

// Prices are in the farm's currency.
type Prices struct {
	LabourPerStart float64 // of starting a machine
	LabourPerLeg   float64 // of setting one more leg, and of looking after it
	NitrogenPerKg  float64
	LeachedPerMMHa float64 // of what a mm of percolation takes from a hectare
}

// Defaults, taken where farm.toml is silent.
const (
	DefaultSliceDeg     = 5.0
	DefaultWindHeightM  = 2.0 // FAO-56 p. 55: the standard height
	DefaultLayers       = 4
	DefaultCompensation = 2.0
	DefaultDepletion    = 0.0 // the ground starts full
	DefaultTimerMinPct  = 5.0 // common practice, no published source
	DefaultTimerMaxPct  = 100.0
	DefaultEfficiency   = 0.85 // common practice for low-pressure drops, no published source
	DefaultMaxLegs      = 8    // sectors a common panel holds; common practice, no published source
	DefaultMaxHours     = 24.0
	// The plus-minus of a depth on the map: half a foot, an auger hole on ground
	// that is not level. An assumption, no published source.
	DefaultTablePlusMinusM = 0.15
	// Probe readings. Two percent by volume is what makers claim of a calibrated
	// probe; the books' four, growing back by one a day, are assumptions, no
	// published source.
	DefaultProbeError      = 0.02
	DefaultProbeModelError = 0.04
	DefaultProbeDrift      = 0.01
	DefaultDryDays         = 0
	// A swath must cure and be chopped or baled before water or a machine comes.
	// An assumption, no published source.
	DefaultDryAfter = 2
	// One more leg on the panel against a start. An assumption, no published source.
	DefaultLegShare = 0.05
)
