// The cautions that travel with every plan.

package report

// Cautions are printed at the end of every plan, in every form.
var cautions = [...]string{
	"Walk the path first; keep people, animals and vehicles clear. Lock out the power before any work on the machine: high voltage, and it may start by itself.",
	"Do not run in lightning, frost or high wind. Keep the spray off power lines and public roads.",
	"Injecting fertilizer or pesticide needs backflow protection; keep to the label's re-entry time.",
	"Withdrawal limits, well registration and drainage law are local. The plan is advice: local codes and licensed practice come first.",
	"The depth of the water table is an estimate between readings. Look at the ground before you trust a skip.",
}
