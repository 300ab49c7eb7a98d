// The known name that a mistyped one most likely meant.

package input

import (
	"strings"

	"github.com/agnivade/levenshtein"
)

// Nearest gives the known name closest to name by edit distance, letter case
// aside, or "" when none is close: more than a third of the letters (rounded
// up) would have to change. Of equally close names the first in known wins.
func Nearest(name string, known []string) string {
	name = strings.ToLower(strings.TrimSpace(name))
	limit := (len([]rune(name)) + 2) / 3
	best, nearest := limit+1, ""
	for _, k := range known {
		if d := levenshtein.ComputeDistance(name, strings.ToLower(k)); d < best {
			best, nearest = d, k
		}
	}
	return nearest
}

// Known gives the known name that is meant: the same, or else, letter case aside,
// the only one that is the same.
func Known(name string, known []string) (string, bool) {
	meant, n := "", 0
	for _, k := range known {
		if k == name {
			return k, true
		}
		if strings.EqualFold(k, name) {
			meant, n = k, n+1
		}
	}
	return meant, n == 1
}

// NearestHint gives "; nearest known is x", or the list of the known names
// when none is close: the second half of a message about an unknown name.
func NearestHint(name string, known []string) string {
	if n := Nearest(name, known); n != "" {
		return "; nearest known is " + n
	}
	if len(known) == 0 {
		return ""
	}
	return "; known: " + strings.Join(known, ", ")
}

// OrList joins names as in "a, b or c".
func OrList(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " or " + names[n-1]
	}
}
