// The map: every circle is cut from edge to edge by smooth lines (a swale's
// banks, the foot of a rise) into strips, and a ridge may stand inside a strip
// as an island. Neighbours share the points of the line between them, so they
// neither overlap nor leave gaps.

package main

import (
	"bytes"
	"fmt"
	"math"
	"slices"
)

// point is east and north of the first pivot point, m, or lon and lat.
type point struct{ x, y float64 }

// metres per degree on the WGS 84 ellipsoid at the farm's latitude.
var metresPerDegLat, metresPerDegLon = func() (float64, float64) {
	const a, e2 = 6378137.0, 0.00669437999014
	phi := centerLat * math.Pi / 180
	w := math.Sqrt(1 - e2*math.Sin(phi)*math.Sin(phi))
	return math.Pi / 180 * a * (1 - e2) / (w * w * w), math.Pi / 180 * a * math.Cos(phi) / w
}()

// toLonLat turns metres on the farm into degrees, rounded to 1e-7 (about a
// centimetre) so that a shared point is the same number in both its zones.
func toLonLat(p point) point {
	round := func(v float64) float64 { return math.Round(v*1e7) / 1e7 }
	return point{round(centerLon + p.x/metresPerDegLon), round(centerLat + p.y/metresPerDegLat)}
}

// polar is the point at an azimuth and distance from the middle of a circle.
func polar(azimuthDeg, r float64) point {
	s, c := math.Sincos(azimuthDeg * math.Pi / 180)
	return point{r * s, r * c}
}

// line is a smooth cut across a circle: it enters at azimuth From, passes
// through Via (m from the pivot point) and leaves at azimuth To.
type line struct {
	From, To float64
	Via      []point
}

// island is a closed smooth ring inside a strip, its points clockwise.
type island []point

// zone is one polygon of the map: the strip between two lines, or an island.
type zone struct {
	Name, Soil string
	WaterFt    float64 // depth of the water table on WaterDate; 0: out of reach
	Pipe       string
}

// ground is the map of one circle: the strips in order, split by the lines
// (one fewer than the strips), with an island in one of them.
type ground struct {
	Edge     float64    // where the zones end, m from the pivot point
	Gap      [2]float64 // azimuths between which the ground is not farmed; equal: none
	Strips   []zone
	Lines    []line
	Ridge    zone
	RidgeIn  int // the strip around the ridge
	RidgeLie island
}

// waterDate is the day on which depths were taken on the map.
var waterDate = date(year, 7, 1)

// grounds are in the order of machines.
var grounds = []ground{
	{ // Heron: a swale comes in from the west and ends past the pivot point
		Edge: 330,
		Strips: []zone{
			{"Heron swale", "reed loamy sand", 2.5, "P1"},
			{"Heron slope", "crane sand", 4.6, "P1"},
			{"Heron flat", "crane sand", 8.5, ""},
		},
		Lines: []line{
			{193, 302, []point{{-36, -190}, {38, -70}, {52, 22}, {-20, 78}, {-150, 118}}},
			{172, 327, []point{{66, -205}, {124, -84}, {128, 46}, {40, 150}, {-80, 204}}},
		},
		Ridge: zone{"Heron ridge", "crane sand", 0, ""}, RidgeIn: 2,
		RidgeLie: island{{104, 196}, {168, 214}, {226, 160}, {258, 74}, {240, -14}, {196, 14}, {172, 96}, {112, 140}},
	},
	{ // Plover: a hollow in the south-east, a knoll in the west; the north-west is not farmed
		Edge: 288, Gap: [2]float64{294, 16},
		Strips: []zone{
			{"Plover rise", "crane sand", 9, ""},
			{"Plover hollow", "reed loamy sand", 2.8, "P2"},
			{"Plover bench", "crane sand", 5.0, "P2"},
			{"Plover knoll", "crane sand", 0, ""},
		},
		Lines: []line{
			{25, 107, []point{{72, 142}, {50, 66}, {60, 12}, {112, -20}, {184, -44}}},
			{286, 178, []point{{-150, 36}, {-70, 2}, {-44, -64}, {-26, -134}, {-4, -210}}},
			{266, 204, []point{{-196, -30}, {-118, -72}, {-100, -138}, {-108, -200}}},
		},
		RidgeIn: -1,
	},
	{ // Bittern: a slough winds through the whole circle; a ridge in the north-west
		Edge: 432,
		Strips: []zone{
			{"Bittern north", "crane sand", 8, ""},
			{"Bittern slough", "reed loamy sand", 2.9, "P3"},
			{"Bittern bench", "crane sand", 5.2, "P3"},
			{"Bittern south", "crane sand", 0, ""},
		},
		Lines: []line{
			{266, 40, []point{{-318, -22}, {-190, -10}, {-72, 46}, {36, 86}, {120, 158}, {196, 246}}},
			{217, 79, []point{{-176, -254}, {-120, -138}, {-40, -58}, {76, -34}, {190, 22}, {300, 62}}},
			{203, 93, []point{{-106, -282}, {-44, -172}, {40, -116}, {150, -88}, {280, -36}}},
		},
		Ridge: zone{"Bittern ridge", "crane sand", 0, ""}, RidgeIn: 0,
		RidgeLie: island{{-268, 130}, {-206, 204}, {-116, 262}, {-20, 282}, {34, 250}, {-24, 208}, {-108, 172}, {-188, 96}, {-246, 76}},
	},
}

// stepDeg is the spacing of points along a circle's edge and stepM, about,
// along a line.
const (
	stepDeg = 3.0
	stepM   = 18.0
)

// smooth draws a Catmull-Rom curve through the points; closed joins the last
// to the first. Uniform knots, tension one half.
func smooth(through []point, closed bool) []point {
	n := len(through)
	at := func(i int) point {
		if closed {
			return through[(i+n)%n]
		}
		return through[min(max(i, 0), n-1)]
	}
	spans := n - 1
	if closed {
		spans = n
	}
	var out []point
	for i := range spans {
		a, b, c, d := at(i-1), at(i), at(i+1), at(i+2)
		steps := max(2, int(math.Hypot(c.x-b.x, c.y-b.y)/stepM))
		for k := range steps {
			t := float64(k) / float64(steps)
			bend := func(a, b, c, d float64) float64 {
				return b + t/2*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
			}
			out = append(out, point{bend(a.x, b.x, c.x, d.x), bend(a.y, b.y, c.y, d.y)})
		}
	}
	if !closed {
		out = append(out, through[n-1])
	}
	return out
}

// draw is the line as points from edge to edge.
func (g ground) draw(l line) []point {
	through := append([]point{polar(l.From, g.Edge)}, l.Via...)
	return smooth(append(through, polar(l.To, g.Edge)), false)
}

// edge walks the edge clockwise strictly between two azimuths. Across a gap it
// goes by way of the pivot point, kept a little inside the gap so that all
// ground the machine wets has a zone.
func (g ground) edge(from, to float64) []point {
	const insideM = 10
	var out []point
	turn := func(a float64) float64 { return math.Mod(a-from+720, 360) }
	span := turn(to)
	hasGap := g.Gap[0] != g.Gap[1] && turn(g.Gap[0]) < span
	inGap := func(a float64) bool { return hasGap && turn(a) >= turn(g.Gap[0]) && turn(a) <= turn(g.Gap[1]) }
	for a := math.Floor(from/stepDeg)*stepDeg + stepDeg; a < from+span; a += stepDeg {
		if !inGap(a) {
			out = append(out, polar(a, g.Edge))
			continue
		}
		out = append(out, polar(g.Gap[0], g.Edge), polar(g.Gap[0]+math.Mod(g.Gap[1]-g.Gap[0]+360, 360)/2, insideM), polar(g.Gap[1], g.Edge))
		for inGap(a + stepDeg) {
			a += stepDeg
		}
	}
	return out
}

// rings are the polygon of strip i, unclosed: the outer ring and perhaps the
// hole around the ridge. From one line to the next the To ends move clockwise
// and the From ends the other way.
func (g ground) rings(i int) [][]point {
	var ring []point
	switch last := len(g.Strips) - 1; i {
	case 0:
		l := g.Lines[0]
		ring = append(g.draw(l), reversed(g.edge(l.From, l.To))...)
	case last:
		l := g.Lines[last-1]
		ring = append(g.draw(l), g.edge(l.To, l.From)...)
	default:
		near, far := g.Lines[i-1], g.Lines[i]
		ring = append(g.draw(near), g.edge(near.To, far.To)...)
		ring = append(ring, reversed(g.draw(far))...)
		ring = append(ring, g.edge(far.From, near.From)...)
	}
	rings := [][]point{ring}
	if i == g.RidgeIn {
		rings = append(rings, smooth(g.RidgeLie, true))
	}
	return rings
}

func reversed(p []point) []point {
	q := slices.Clone(p)
	slices.Reverse(q)
	return q
}

// zonesGeoJSON is the map as RFC 7946 asks: outer rings anticlockwise, holes
// clockwise, first point repeated at the end. One ring a line.
func zonesGeoJSON() []byte {
	var b bytes.Buffer
	b.WriteString("{\n  \"type\": \"FeatureCollection\",\n  \"features\": [")
	first := true
	add := func(m machine, z zone, rings [][]point) {
		if !first {
			b.WriteString(",")
		}
		first = false
		writeFeature(&b, m, z, rings)
	}
	for i, g := range grounds {
		for k, z := range g.Strips {
			add(machines[i], z, g.rings(k))
		}
		if g.RidgeIn >= 0 {
			add(machines[i], g.Ridge, [][]point{smooth(g.RidgeLie, true)})
		}
	}
	b.WriteString("\n  ]\n}\n")
	return b.Bytes()
}

func writeFeature(b *bytes.Buffer, m machine, z zone, rings [][]point) {
	water := "null"
	if z.WaterFt > 0 {
		water = num(z.WaterFt, 1)
	}
	fmt.Fprintf(b, "\n    {\n      \"type\": \"Feature\",\n      \"properties\": {\"zone\": %q, \"field\": %q, \"soil\": %q, \"water_table_ft\": %s, \"water_table_date\": %q",
		z.Name, m.Field, z.Soil, water, waterDate)
	if z.Pipe != "" {
		fmt.Fprintf(b, ", \"pipe\": %q", z.Pipe)
	}
	b.WriteString("},\n      \"geometry\": {\"type\": \"Polygon\", \"coordinates\": [")
	for i, ring := range rings {
		if i > 0 {
			b.WriteString(",")
		}
		if anticlockwise := signedArea(ring) > 0; anticlockwise != (i == 0) {
			ring = reversed(ring)
		}
		b.WriteString("\n        [")
		for k := range len(ring) + 1 {
			if k > 0 {
				b.WriteString(", ")
			}
			p := ring[k%len(ring)]
			q := toLonLat(point{m.EastM + p.x, m.NorthM + p.y})
			fmt.Fprintf(b, "[%.7f, %.7f]", q.x, q.y)
		}
		b.WriteString("]")
	}
	b.WriteString("\n      ]}\n    }")
}

// signedArea is positive for an anticlockwise ring (shoelace formula).
func signedArea(ring []point) float64 {
	sum := 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		sum += p.x*q.y - q.x*p.y
	}
	return sum / 2
}
