// The units that a key of farm.toml may carry, from the one table in et/input,
// and the compound ones that only prices need.

package settings

import "sandwick/et/input"

var (
	lengths      = input.UnitsOf(input.Length)
	depths       = input.UnitsOf(input.Depth)
	flows        = input.UnitsOf(input.Flow)
	volumes      = input.UnitsOf(input.Volume)
	powers       = input.UnitsOf(input.Power)
	intakes      = input.UnitsOf(input.Intake)
	temperatures = input.UnitsOf(input.Temperature)
	perArea      = input.UnitsOf(input.PerArea)
	perMass      = input.UnitsOf(input.PerMass)
	plain        = input.Unit{Mul: 1, Div: 1}
	unreadable   = input.Unit{} // of a value that is reported already
	perDepthHa   = []input.Unit{
		{Suffix: "per_mm_ha", Name: "1/(mm ha)", Mul: 1, Div: 1},
		// 1 in = 25.4 mm and 1 ac = 43560 ft² of 0.3048 m: NIST SP 811, App. B.
		{Suffix: "per_in_ac", Name: "1/(in ac)", Mul: 10000, Div: 25.4 * 43560 * 0.3048 * 0.3048},
	}
)

func suffixed(stem string, units []input.Unit) []string {
	keys := make([]string, len(units))
	for i, u := range units {
		keys[i] = u.Key(stem)
	}
	return keys
}
