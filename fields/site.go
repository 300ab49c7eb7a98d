// Doubts about the station's place and the farm's clocks: what is wrong there
// is wrong by little enough on every day to pass for weather.

package fields

import (
	"fmt"
	"math"
	"time"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"

	"sandwick/et/input"
)

const (
	// farStationKM is how far from the ground a station tells nothing of its
	// weather. Showers differ over a tenth of it; more is most likely a slip of a
	// coordinate. An assumption, no published source.
	farStationKM = 150
	// farClockDeg is how far the meridian of the clocks may lie from the site:
	// three hours, which no inhabited place keeps. An assumption, no published source.
	farClockDeg = 45
)

// place is somewhere on the farm.
type place struct {
	name string
	at   orb.Point
	pos  input.Pos
}

// doubtSite doubts a station far from the farm, a pivot far from a station that
// is near the others, and clocks that are not the site's.
func (f *Farm) doubtSite() input.Problems {
	var doubts input.Problems
	site := orb.Point{f.Site.LongitudeDeg, f.Site.LatitudeDeg}
	var places []place
	for i := range f.Pivots {
		places = append(places, place{fmt.Sprintf("pivot %q", f.Pivots[i].Name), f.Pivots[i].Center, f.Pivots[i].Pos})
	}
	if len(places) == 0 {
		for i := range f.Zones {
			places = append(places, place{fmt.Sprintf("zone %q", f.Zones[i].Name), f.Zones[i].Area.Bound().Center(), f.Zones[i].Pos})
		}
	}
	km := func(a, b orb.Point) float64 { return geo.DistanceHaversine(a, b) / 1000 }
	var far []place
	for _, p := range places {
		if km(site, p.at) > farStationKM {
			far = append(far, p)
		}
	}
	switch {
	case len(far) == 0:
	case len(far) == len(places):
		swapped := ""
		if turned := (orb.Point{site[1], site[0]}); math.Abs(turned[1]) <= 90 && km(turned, far[0].at) <= farStationKM {
			swapped = "; with latitude and longitude swapped it would be near"
		} else if turned := (orb.Point{far[0].at[1], far[0].at[0]}); fits(turned, far[0].at, site) {
			swapped = fmt.Sprintf("; with the two numbers of its place swapped, %s would lie %.0f km away", far[0].name, km(site, turned))
		}
		doubts.Add(f.SitePos, "site.latitude_deg", fmt.Sprintf("%g, longitude %g", site[1], site[0]),
			"the station lies %.0f km from %s; over %d km its weather is not the farm's%s", km(site, far[0].at), far[0].name, farStationKM, swapped)
	default:
		for _, p := range far {
			doubts.Add(p.pos, "", fmt.Sprintf("[%g, %g]", p.at[0], p.at[1]),
				"%s lies %.0f km from the station, and others within %d km; is its place right?%s", p.name, km(site, p.at), farStationKM, turnedText(p.at, site))
		}
	}
	meridian := 15 * standardHours(f.Location)
	if away := math.Remainder(meridian-f.Site.LongitudeDeg, 360); math.Abs(away) > farClockDeg {
		doubts.Add(f.ZonePos, "farm.timezone", f.Location.String(),
			"its clocks are those of longitude %g, %.0f degrees from the site's %g; is the zone right, or the sign of the longitude?",
			meridian, math.Abs(away), f.Site.LongitudeDeg)
	}
	return doubts
}

// fits tells whether a place turned about, longitude for latitude, lies nearer
// the site than as it is.
func fits(turned, at, site orb.Point) bool {
	return math.Abs(turned[1]) <= 90 && geo.DistanceHaversine(turned, site) < geo.DistanceHaversine(at, site)
}

func turnedText(at, site orb.Point) string {
	turned := orb.Point{at[1], at[0]}
	if !fits(turned, at, site) {
		return ""
	}
	return fmt.Sprintf(" With its two numbers swapped it would lie %.0f km away", geo.DistanceHaversine(turned, site)/1000)
}

// standardHours is how far the clocks of a location are ahead of UTC without
// summer time.
func standardHours(loc *time.Location) float64 {
	least := math.Inf(1)
	for _, month := range []time.Month{time.January, time.July} {
		_, s := time.Date(2025, month, 1, 12, 0, 0, 0, loc).Zone()
		least = min(least, float64(s)/3600)
	}
	return least
}
