// The farm on paper: wells, pivots, fields and soils of Cranefoot Flats. All of
// it is invented; the place is a spot of open land chosen for its latitude.

package main

import (
	"bytes"
	_ "embed"
	"math"
	"text/template"

	"github.com/golang-sql/civil"
)

// centerLon and centerLat are the pivot point of the first machine; the others
// lie east and west of it.
const (
	centerLon = -95.3500
	centerLat = latitudeDeg
)

// well feeds pivots through one flow meter.
type well struct {
	Name, Note                    string
	FlowGPM                       float64
	LimitAcFt, NitratePPM, PerKWh float64
	RealFlow                      float64 // share of the nominal flow that really comes, for the meter
	MeterStart                    float64 // totaliser at the start of the season, gal
	LoadFrom, LoadTo              int     // hours between which load control stops the well on weekdays; equal: never
	LoadStart, LoadEnd            civil.Date
}

var wells = []well{
	{
		Name: "Reed", Note: "feeds Heron and Plover, one at a time",
		FlowGPM: 900, LimitAcFt: 160, NitratePPM: 9, PerKWh: 0.115,
		RealFlow: 0.97, MeterStart: 84_211_000,
	},
	{
		Name: "Stone", Note: "feeds Bittern alone",
		FlowGPM: 1150, LimitAcFt: 170, NitratePPM: 14, PerKWh: 0.086,
		RealFlow: 0.93, MeterStart: 12_950_400,
		LoadFrom: 14, LoadTo: 19, LoadStart: date(year, 6, 1), LoadEnd: date(year, 9, 15),
	},
}

// machine is a pivot and what its grower does with it.
type machine struct {
	Pivot, Well, Field, Crop string
	Start                    civil.Date // planting or green-up
	GaugeShare               float64    // of the station's rain, that its gauge gets
	Cut                      civil.Date // zero for a crop that is not cut
	DryDays                  int        // before the cut
	ValuePerAc, CurveNumber  float64
	EastM, NorthM            float64 // of the pivot point from the first machine
	LengthFt, FlowGPM        float64
	HoursAtFull              float64
	EfficiencyPct            float64
	PowerKW, DryPowerKW      float64
	WettedFt                 float64
	StartDeg, StopDeg        int // part circle, clockwise; both 0 for a full circle
	GunThrowFt, GunGPM       float64
	GunArcs                  [][2]int
	ParkedDeg                int
	Reversible               bool

	// What the grower of the records does; see grower.go.
	TriggerMM float64    // high-ground depletion by his checkbook at which he starts
	GrossIn   float64    // depth he sets
	LowFrom   civil.Date // from this day on he walks dry over Low
	Low       [][2]int   // azimuths of the low ground, clockwise
	Kc        []kcPoint
}

// kcPoint is one corner of the grower's own crop curve.
type kcPoint struct {
	Date civil.Date
	Kc   float64
}

var machines = []machine{
	{
		Pivot: "Heron", Well: "Reed", Field: "Heron Mint", Crop: "peppermint", Start: date(year, 4, 20), GaugeShare: 1,
		Cut: date(year, 7, 31), DryDays: 5, ValuePerAc: 1700, CurveNumber: 58,
		LengthFt: 1040, FlowGPM: 850, HoursAtFull: 11.0, EfficiencyPct: 86, PowerKW: 46, DryPowerKW: 4, WettedFt: 60,
		ParkedDeg: 180, Reversible: true,
		TriggerMM: 10, GrossIn: 0.60, LowFrom: date(year, 6, 20), Low: [][2]int{{205, 290}},
		Kc: []kcPoint{{date(year, 4, 20), 0.5}, {date(year, 5, 10), 0.6}, {date(year, 6, 12), 1.1}, {date(year, 7, 31), 1.1}, {date(year, 8, 1), 0.4}, {date(year, 8, 25), 1.0}, {date(year, 9, 30), 1.0}},
	},
	{
		Pivot: "Plover", Well: "Reed", Field: "Plover Beans", Crop: "soybean", Start: date(year, 5, 15), GaugeShare: 1,
		ValuePerAc: 620, CurveNumber: 67,
		EastM: -735, NorthM: 240,
		LengthFt: 900, FlowGPM: 760, HoursAtFull: 9.6, EfficiencyPct: 86, PowerKW: 42, DryPowerKW: 4, WettedFt: 60,
		StartDeg: 20, StopDeg: 290, ParkedDeg: 20, Reversible: true,
		TriggerMM: 12, GrossIn: 0.75, LowFrom: date(year, 6, 20), Low: [][2]int{{115, 170}},
		Kc: []kcPoint{{date(year, 5, 15), 0.35}, {date(year, 6, 4), 0.4}, {date(year, 7, 6), 1.1}, {date(year, 9, 1), 1.1}, {date(year, 9, 25), 0.4}},
	},
	{
		Pivot: "Bittern", Well: "Stone", Field: "Bittern Corn", Crop: "corn", Start: date(year, 5, 3), GaugeShare: 0.93,
		ValuePerAc: 880, CurveNumber: 67,
		EastM: 870, NorthM: -130,
		LengthFt: 1300, FlowGPM: 1000, HoursAtFull: 14.0, EfficiencyPct: 87, PowerKW: 62, DryPowerKW: 6, WettedFt: 62,
		GunThrowFt: 75, GunGPM: 110, GunArcs: [][2]int{{25, 65}, {115, 155}},
		ParkedDeg: 0, Reversible: true,
		TriggerMM: 14, GrossIn: 0.85, LowFrom: date(year, 6, 20), Low: [][2]int{{45, 75}, {225, 260}},
		Kc: []kcPoint{{date(year, 5, 3), 0.3}, {date(year, 6, 2), 0.35}, {date(year, 7, 10), 1.15}, {date(year, 8, 25), 1.15}, {date(year, 9, 25), 0.5}},
	},
}

// hours is the time for a whole trip at a timer setting.
func (m machine) hours(timerPct, deg float64) float64 {
	return m.HoursAtFull * deg / 360 * 100 / timerPct
}

// timer is the setting, whole percent, that puts on the grower's depth.
func (m machine) timer() float64 {
	r := m.LengthFt * mPerFoot
	mmPerHourOnCircle := m.FlowGPM * m3PerGallon * 60 * 1000 / (math.Pi * r * r)
	return math.Round(100 * m.HoursAtFull * mmPerHourOnCircle / (m.GrossIn * mmPerInch))
}

//go:embed farm.toml.tmpl
var farmTemplate string

// farmTOML fills the commented settings file.
func farmTOML(o options) []byte {
	type pivotSettings struct {
		machine
		Lon, Lat float64
	}
	data := struct {
		options
		Day                   civil.Date // the day after the last record
		Lon, Lat, ElevationFt float64
		Wells                 []well
		Pivots                []pivotSettings
	}{o, o.last().AddDays(1), centerLon, centerLat, math.Round(elevationM / mPerFoot), wells, nil}
	for _, m := range machines {
		at := toLonLat(point{m.EastM, m.NorthM})
		data.Pivots = append(data.Pivots, pivotSettings{m, at.x, at.y})
	}
	var b bytes.Buffer
	if err := template.Must(template.New("farm.toml").Parse(farmTemplate)).Execute(&b, data); err != nil {
		panic("demofarm: the template of farm.toml does not fit the farm: " + err.Error())
	}
	return b.Bytes()
}
