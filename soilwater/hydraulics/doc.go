// Package hydraulics holds the curves of the ground between the roots and the
// water table: how much water it holds at a suction, how well it conducts, and
// how fast water can climb through it.
//
// Suction (pressure head below atmospheric, positive when the ground is
// unsaturated), depth and climb are in m, conductivity in m/day, fluxes in
// mm/day, water content in m³ per m³ of ground. Everything here is steady,
// isothermal flow of liquid water; vapour, hysteresis and air entry under
// rain are left out.
//
//	what                                          where
//	van Genuchten 1980 retention and capacity     VanGenuchten.Theta, Capacity
//	van Genuchten-Mualem conductivity             VanGenuchten.K
//	Gardner 1958 conductivity a/(ψⁿ+b)            Gardner
//	Gardner 1958 exponential conductivity         Exponential
//	Darcy-Buckingham steady upward flux           SteadyFlux, Climb
//	the climb at which 6 mm/day is the limit      Reach
//	heights scaled to a reach (Miller & Miller 1956) VanGenuchten.WithReach
//	the flux curve tabulated for repeated use     NewTable, Table.Flux
//
// Sources: van Genuchten 1980, Soil Sci. Soc. Am. J. 44:892-898; Mualem 1976,
// Water Resources Research 12:513-522; Gardner 1958, Soil Science 85:228-232;
// Miller & Miller 1956, J. Applied Physics 27:324-332. All four are cited from
// memory; the equations are checked by the tests against closed forms.
package hydraulics
