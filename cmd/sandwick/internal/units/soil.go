// Quantities of the ground. The comment gives the SI unit expected.

package units

// What a soil holds and lets through.
var (
	PerDepth = Quantity{"in/ft", "mm/m", 12.0 / 1000, 0, 1, 2, 0}  // mm of water per m of ground; 1 in/ft is 1/12
	Flux     = Quantity{"in/d", "mm/d", 1 / mmPerInch, 0, 1, 3, 2} // mm/day, where a thousandth of an inch counts

	Suction = Quantity{"kPa", "kPa", 1, 0, 1, 0, 0} // kPa of soil suction
)
