package pivot

import "github.com/paulmach/orb"

// Azimuth is a compass direction in degrees clockwise from true north,
// 0 <= a < 360. Zero is north.
type Azimuth float64

// Arc runs clockwise from From to To. From == To is the full circle.
type Arc struct{ From, To Azimuth }

// Machine is one centre pivot as it is built. Nothing in it changes from day to day.
type Machine struct {
	Name        string
	Well        string
	Center      orb.Point // lon, lat of the pivot point, degrees
	LengthM     float64   // reach of the last nozzle without end gun, m
	Stops       *Arc      // nil: full circle; else the part circle it may travel
	EndGunM     float64   // what the end gun adds to the wetted radius where it runs, m; 0 none
	EndGunArcs  []Arc     // where it runs
	FlowM3H     float64   // flow with the end gun off, m³/h
	EndGunM3H   float64   // flow added while the gun runs, m³/h
	HoursAtFull float64   // hours for a full circle at timer 100 %
	TimerMinPct float64
	TimerMaxPct float64
	MaxGrossMM  float64 // most water in one pass, gross mm
	MaxLegs     int     // most timer changes the panel can hold in one pass
	Efficiency  float64 // net / gross, 0..1
	WettedM     float64 // width wetted at the outer end by one nozzle, along the travel, m
	PowerKW     float64 // electric power of pump and drive while running wet, kW
	DryPowerKW  float64 // electric power while walking dry, kW
	Reversible  bool    // can run both ways
}

// ZonePolygon is one zone on the map as pivot needs it.
type ZonePolygon struct {
	Name string
	Area orb.MultiPolygon // lon, lat
}

// Cell is zone × slice of one machine. Area is what lies under the wetted circle.
type Cell struct {
	Slice  int // index, slice i covers azimuths [i*w, (i+1)*w) with w the slice width
	Zone   int // index into the zones given to Overlay; -1 ground under the circle in no zone
	AreaM2 float64
}
