// Ground wetter than full: a depletion below nothing says nothing to a person.

package report

import (
	"strings"

	"sandwick/cmd/sandwick/internal/units"
)

// isWet tells whether a depletion shows as less than nothing.
func isWet(s units.System, mm float64) bool {
	return strings.HasPrefix(units.Depth.Format(s, mm), "-") && strings.ContainsAny(units.Depth.Format(s, mm), "123456789")
}

// DepletionText is a depletion for a column: "0 wet" where the ground is wetter
// than full.
func DepletionText(s units.System, mm float64) string {
	if isWet(s, mm) {
		return "0 wet"
	}
	return units.Depth.Format(s, mm)
}

// depletionWords is a depletion with its unit, for a sentence.
func depletionWords(s units.System, mm float64) string {
	if isWet(s, mm) {
		return "none, wetter than full"
	}
	return units.Depth.Text(s, mm)
}

// wetNote explains "0 wet" under a table.
const wetNote = "0 wet: the ground is wetter than full, with a water table close below or water that has yet to drain."
