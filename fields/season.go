// What a walk through the season gives: the account of every zone on every
// day, and the state of the ground at the end.

package fields

import (
	"math"
	"path/filepath"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/crop"
	"sandwick/et/input"
	"sandwick/soilwater"
	"sandwick/soilwater/watertable"
)

// Season is the water books from the season's start through the day before Today.
type Season struct {
	Farm  *Farm
	From  civil.Date // first day
	Today civil.Date // the day after the last

	// Skies are the weather of each day. Where the station's record does not
	// reach, a day's Basis says what stands in for it.
	Skies []Sky
	// WeatherThrough is the last day before Today with measured temperatures;
	// zero when there is none.
	WeatherThrough civil.Date
	// Estimated counts the days whose weather was not measured.
	Estimated int

	// States are the cells' water at the end of the last day, in the order of
	// Farm.Cells.
	States []soilwater.State
	// StatesThen are the same on the morning that WalkOptions.StatesOn asks for,
	// seen from the end of the walk: with the water table as it is known by then.
	StatesThen []soilwater.State
	// StartMM is the water in the column under each zone before the first day, mm.
	StartMM []float64

	// Pumped is what each machine did on each day: [pivot][day].
	Pumped [][]Pumping

	// Doubts are found by the walk; those of the files are in Farm.Doubts.
	Doubts input.Problems

	days int
	// CorrectTodayMM is what probe readings of today have changed States by, mean
	// over each zone, mm: it is in no day's account yet.
	CorrectTodayMM []float64

	accounts []DayAccount  // [day*zones+zone]
	cells    []CellAccount // [day*cells+cell]; empty unless asked for
	crops    [][]CropDay   // [field][day]
	wet      []crop.Wetness
	tables   tables
	walk     *walker        // what the days of the walk shared
	reaches  reaches        // columns of other reach, made when asked for
	probes   [][]ProbeCheck // by zone
}

// DayAccount is one zone's day, the mean over its area. Depths in mm.
type DayAccount struct {
	Date       civil.Date
	Zone       int // index into Farm.Zones
	Basis      Basis
	Filled     et.Filled // weather inputs that were estimated
	GaugeRain  bool      // rain is a gauge's, not the station's
	Stage      crop.Stage
	RootM      float64
	TableM     float64 // depth of the water table below ground, m; +Inf out of reach
	TableSEM   float64 // standard error of its change since the zone's own depth was taken, m
	TableBasis watertable.Basis
	EToMM      float64
	Kcb        float64 // basal crop coefficient, or Kc itself in single mode
	Ke, Ks     float64
	ETcMM      float64 // unstressed
	ETMM       float64 // actual
	EvapMM     float64 // of ETMM, from the soil surface
	TranspMM   float64 // of ETMM, through the crop
	RainMM     float64
	RunoffMM   float64
	GrossMM    float64 // irrigation leaving the nozzles
	NetMM      float64 // irrigation reaching the ground
	SprayMM    float64 // GrossMM - NetMM
	UpfluxMM   float64
	PercMM     float64
	CorrectMM  float64 // entered by probe readings
	DepletMM   float64 // at the end of the day
	DepletMax  float64 // of the driest cell
	TAWMM      float64
	RAWMM      float64
	TriggerMM  float64
	StorageMM  float64 // water in the whole column at the end of the day
	ClosureMM  float64 // the cell furthest from closing, with its sign
	AerationM2 float64 // ground whose wanted roots the table stands in
	StressM2   float64 // ground with Ks below 1
}

// CellAccount is one cell's day.
type CellAccount struct {
	soilwater.Fluxes
	GrossMM float64
}

// doubt books something that the walk found.
func (s *Season) doubt(at input.Pos, field, got, format string, args ...any) {
	if s.Farm.dir != "" {
		at.File = filepath.Join(s.Farm.dir, filepath.FromSlash(at.File))
	}
	s.Doubts.Add(at, field, got, format, args...)
}

// Days is the number of days walked.
func (s *Season) Days() int { return s.days }

// Date is the date of a day.
func (s *Season) Date(day int) civil.Date { return s.From.AddDays(day) }

// Account is a zone's account of a day, both by index.
func (s *Season) Account(day, zone int) *DayAccount {
	return &s.accounts[day*len(s.Farm.Zones)+zone]
}

// Cell is a cell's account of a day; nil unless the walk was asked to keep them.
func (s *Season) Cell(day, cell int) *CellAccount {
	if len(s.cells) == 0 {
		return nil
	}
	return &s.cells[day*len(s.Farm.ground.cells)+cell]
}

// Crop is the crop of a field on a day.
func (s *Season) Crop(day, field int) *CropDay { return &s.crops[field][day] }

// Trigger is the depletion at which a pass is due on a field: its share of TAW,
// or RAW where the farm does not set one; +Inf on a day to come without a crop.
func (f *Farm) Trigger(field int, taw, raw float64) float64 {
	if raw >= taw*(1-1e-9) { // see withoutUptake
		return math.Inf(1)
	}
	if t := f.Fields[field].Trigger; !math.IsNaN(t) {
		return t * taw
	}
	return raw
}
