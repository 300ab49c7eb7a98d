package hydraulics

// The named parameter sets.

import "strings"

const (
	sourceSchaap = "Schaap, Leij, van Genuchten 2001, J. Hydrology 251:163-176, class averages"
	sourceCarsel = "Carsel & Parrish 1988, Water Resources Research 24:755-769, class means"
	sourceField  = "assumed: holds about one inch of available water a foot; no publication"
)

// The class averages are published as logarithms (alpha 10^-1.453, 10^-1.459
// and 10^-1.574 per cm, and so on); these are their rounded values.
var sets = []VanGenuchten{
	{"field sand", 0.03, 0.40, 3.5, 2.2, 5.0, 0.5, sourceField, "computed"},
	{"sand (class average)", 0.053, 0.375, 3.52, 3.18, 6.43, 0.5, sourceSchaap, "memory"},
	{"loamy sand (class average)", 0.049, 0.390, 3.48, 1.75, 1.05, 0.5, sourceSchaap, "memory"},
	{"sandy loam (class average)", 0.039, 0.387, 2.67, 1.45, 0.383, 0.5, sourceSchaap, "memory"},
	{"sand", 0.045, 0.43, 14.5, 2.68, 7.128, 0.5, sourceCarsel, "text-secondary"},
	{"loamy sand", 0.057, 0.41, 12.4, 2.28, 3.502, 0.5, sourceCarsel, "text-secondary"},
	{"sandy loam", 0.065, 0.41, 7.5, 1.89, 1.061, 0.5, sourceCarsel, "text-secondary"},
	{"loam", 0.078, 0.43, 3.6, 1.56, 0.2496, 0.5, sourceCarsel, "text-secondary"},
	{"silt", 0.034, 0.46, 1.6, 1.37, 0.0600, 0.5, sourceCarsel, "text-secondary"},
	{"silt loam", 0.067, 0.45, 2.0, 1.41, 0.1080, 0.5, sourceCarsel, "text-secondary"},
	{"sandy clay loam", 0.100, 0.39, 5.9, 1.48, 0.3144, 0.5, sourceCarsel, "text-secondary"},
	{"clay loam", 0.095, 0.41, 1.9, 1.31, 0.0624, 0.5, sourceCarsel, "text-secondary"},
	{"silty clay loam", 0.089, 0.43, 1.0, 1.23, 0.0168, 0.5, sourceCarsel, "text-secondary"},
	{"sandy clay", 0.100, 0.38, 2.7, 1.23, 0.0288, 0.5, sourceCarsel, "text-secondary"},
	{"silty clay", 0.070, 0.36, 0.5, 1.09, 0.0048, 0.5, sourceCarsel, "text-secondary"},
	{"clay", 0.068, 0.38, 0.8, 1.09, 0.0480, 0.5, sourceCarsel, "text-secondary"},
}

// Names lists the parameter sets, the sands first.
func Names() []string {
	names := make([]string, len(sets))
	for i := range sets {
		names[i] = sets[i].Name
	}
	return names
}

// Lookup returns the parameter set of that name; case does not matter.
func Lookup(name string) (VanGenuchten, bool) {
	for _, v := range sets {
		if strings.EqualFold(v.Name, strings.TrimSpace(name)) {
			return v, true
		}
	}
	return VanGenuchten{}, false
}
