// Amounts for the season's books: volumes in all units of the trade, weights.

package units

// Exact factors, NIST SP 811 App. B.8.
const (
	m3PerAcreFoot = m2PerAcre * mPerFoot
	kgPerPound    = 0.45359237
)

// Quantities of the season's books.
var (
	Withdrawal  = Quantity{"ac-ft", "ML", 1 / m3PerAcreFoot, 0, 1e-3, 2, 2}                     // m³
	Millions    = Quantity{"Mgal", "m3", 1 / (1e6 * m3PerGallon), 0, 1, 3, 0}                   // m³
	Energy      = Quantity{"kWh", "kWh", 1, 0, 1, 0, 0}                                         // kWh
	Mass        = Quantity{"lb", "kg", 1 / kgPerPound, 0, 1, 0, 0}                              // kg
	Yield       = Quantity{"lb/ac", "kg/ha", m2PerAcre / kgPerPound, 0, m2PerHectare, 1, 1}     // kg/m²
	PerWater    = Quantity{"lb/ac-in", "kg/ML", m3PerAcreFoot / 12 / kgPerPound, 0, 1000, 2, 2} // kg/m³
	PerEnergy   = Quantity{"lb/kWh", "kg/kWh", 1 / kgPerPound, 0, 1, 3, 3}                      // kg/kWh
	Share       = Quantity{"%", "%", 100, 0, 100, 1, 1}                                         // 0..1
	PreciseFlow = Quantity{"gpm", "m3/h", 1 / (60 * m3PerGallon), 0, 1, 1, 2}                   // m³/h
)

// VolumeUnit is one unit of volume of the trade.
type VolumeUnit struct {
	Name   string
	Suffix string  // of a column
	PerM3  float64 // how many of it make a cubic metre
}

// Volumes are the units in which a withdrawal is written where there is room for all.
var Volumes = []VolumeUnit{
	{"gal", "gal", 1 / m3PerGallon},
	{"million gal", "mgal", 1 / (1e6 * m3PerGallon)},
	{"acre-ft", "acft", 1 / m3PerAcreFoot},
	{"acre-in", "acin", 12 / m3PerAcreFoot},
	{"m3", "m3", 1},
	{"ML", "ml", 1e-3},
}
