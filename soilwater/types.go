package soilwater

// The values that go into and come out of a day's step.

// MaxLayers is the most layers a Column can have.
const MaxLayers = 8

// Demand is what air and crop ask of the ground on one day. It is computed
// once per field and day and shared by all cells of the field.
type Demand struct {
	EToMM  float64 // reference evapotranspiration, mm/day
	Kcb    float64 // basal crop coefficient (dual), or Kc itself when Single is set
	KcMax  float64 // upper limit of Kc, FAO-56 Eq. 72
	Cover  float64 // fraction of ground covered by vegetation, fc, FAO-56 Eq. 76
	P      float64 // depletion fraction for no stress at 5 mm/day, FAO-56 Table 22
	RootM  float64 // rooting depth, m
	Single bool    // single crop coefficient: no separate evaporation
	FixedP bool    // use P as it is, without the adjustment for ETc of FAO-56 Table 22, note 2
}

// Water is what reaches or leaves one cell on one day from outside.
type Water struct {
	RainMM float64 // rain on the ground, mm
	NetMM  float64 // irrigation that reaches the ground, mm
	FwNet  float64 // fraction of the surface wetted by the irrigation; 1 for sprinklers. Read only when NetMM > 0; outside (0, 1] it counts as 1
	TableM float64 // depth of the water table below ground, m; +Inf when out of reach, negative when it stands above ground
}

// State is the water in the ground under one cell at the end of a day. It is
// a plain value: copy it to try something out. The zero State is not valid;
// see Column.Start.
type State struct {
	Layer [MaxLayers]float64 // water in each layer, mm
	De    float64            // depletion of the evaporation layer, mm
	Fw    float64            // fraction of the surface wetted by the last event
}

// Fluxes is one day's account of one cell; all in mm unless the name says otherwise.
type Fluxes struct {
	RainMM, RunoffMM, NetMM   float64
	UpfluxMM, PercolationMM   float64 // through the bottom of the column; over a water table the day's net, one of them 0
	CorrectMM                 float64 // entered by Column.Correct that morning: the caller's to fill in, Step leaves 0
	EvaporationMM             float64 // Ke ETo
	TranspirationMM           float64 // Ks Kcb ETo
	ETcMM                     float64 // unstressed (Kcb+Ke) ETo
	ETMM                      float64 // actual
	Ke, Ks                    float64 // Ks is actual over potential transpiration; 1 when there is no demand
	DepletionMM, TAWMM, RAWMM float64 // at the end of the day
	StorageMM                 float64 // water in the whole column at the end of the day
	ClosureMM                 float64 // in - out - change of storage; under 1e-9 or the program stops. NaN when any input was NaN
	Aeration                  bool    // the table stands inside the rooting depth the crop wants
}
