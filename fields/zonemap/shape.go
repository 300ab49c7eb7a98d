// Whether a zone's outline is a shape that can hold water: closed rings that do
// not cross, holes inside, all of it where the pivot can reach.

package zonemap

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"sandwick/pivot"
)

// geometry checks the JSON of a geometry before it becomes numbers: decoding
// alone would turn null into 0 and drop what is superfluous.
func (r *reader) geometry(path string, raw json.RawMessage, z *Zone) bool {
	var g struct {
		Type        string
		Coordinates any
	}
	if len(raw) == 0 || string(raw) == "null" {
		r.report(path, z.Name, "", "has no geometry; a Polygon or MultiPolygon is accepted")
		return false
	}
	if err := json.Unmarshal(raw, &g); err != nil {
		r.report(path, z.Name, "", "is not a GeoJSON geometry; a Polygon or MultiPolygon is accepted")
		return false
	}
	depth := map[string]int{"Polygon": 2, "MultiPolygon": 3}[g.Type]
	if depth == 0 {
		r.report(path, z.Name, g.Type, "is not an area; a Polygon or MultiPolygon is accepted")
		return false
	}
	if msg := positions(g.Coordinates, depth); msg != "" {
		r.report(path, z.Name, "", "%s", msg)
		return false
	}
	return true
}

// positions walks the nested lists of coordinates: depth lists around rings of positions.
func positions(v any, depth int) string {
	list, ok := v.([]any)
	if !ok {
		return "coordinates are not nested as GeoJSON has them: a Polygon is a list of rings, a ring a list of [longitude, latitude]"
	}
	if depth > 0 {
		if len(list) == 0 {
			return "has no outline; a ring of at least four positions is accepted"
		}
		for _, el := range list {
			if msg := positions(el, depth-1); msg != "" {
				return msg
			}
		}
		return ""
	}
	if len(list) < 2 || len(list) > 3 {
		return fmt.Sprintf("has a position of %d numbers; [longitude, latitude] is accepted", len(list))
	}
	for _, n := range list {
		if f, ok := n.(float64); !ok {
			if n == nil {
				return "has a position with null in it; [longitude, latitude] in degrees is accepted"
			}
			return "has a position that is not made of numbers; [longitude, latitude] in degrees is accepted"
		} else if math.IsInf(f, 0) || math.IsNaN(f) {
			return "has a position that is no finite number"
		}
	}
	return ""
}

// shape checks the rings of a zone whose JSON is sound.
func (r *reader) shape(path string, z *Zone) bool {
	n := len(r.problems)
	report := func(format string, args ...any) { r.report(path, z.Name, "", format, args...) }
	for _, poly := range z.Area {
		for i, ring := range poly {
			what := "outline"
			if i > 0 {
				what = fmt.Sprintf("hole %d", i)
			}
			switch bad := outOfRange(ring); {
			case bad != nil:
				msg := "has a position that is not on Earth; [longitude, latitude] in degrees is accepted"
				if math.Abs(bad[1]) > 90 && math.Abs(bad[0]) <= 90 && math.Abs(bad[1]) <= 180 {
					msg = "has longitude and latitude swapped, it seems; GeoJSON positions are [longitude, latitude]"
				}
				r.report(path, z.Name, fmt.Sprintf("[%g, %g]", bad[0], bad[1]), "%s", msg)
			case len(ring) < 4:
				report("%s has only %d positions; a ring has at least four, the last repeating the first", what, len(ring))
			case !ring.Closed():
				report("%s is not closed; the last position must repeat the first", what)
			default:
				if p, ok := selfCrossing(ring); ok {
					report("%s crosses itself near [%.6f, %.6f]; an outline may not cross itself", what, p[0], p[1])
				}
			}
		}
	}
	if len(r.problems) > n {
		return false
	}
	for _, poly := range z.Area {
		for i, hole := range poly[1:] {
			if p, ok := crossing(poly[0], hole); ok {
				report("hole %d crosses the outline near [%.6f, %.6f]; a hole must lie inside", i+1, p[0], p[1])
			} else if !ringInside(poly[0], hole) {
				report("hole %d lies outside the outline", i+1)
			}
			for j := range i {
				if p, ok := crossing(poly[j+1], hole); ok {
					report("holes %d and %d cross near [%.6f, %.6f]", j+1, i+1, p[0], p[1])
				}
			}
		}
	}
	if len(r.problems) > n {
		return false
	}
	area := pivot.ZoneM2(z.Area)
	switch over := pivot.OverlapM2(z.Area, z.Area) - area; {
	case !(area > 0):
		report("encloses no ground")
	case over > pivot.OverlapToleranceM2:
		report("covers %.0f m² of ground twice; its parts or holes overlap", over)
	}
	return len(r.problems) == n
}

func outOfRange(ring orb.Ring) *orb.Point {
	for i, p := range ring {
		if !(math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= 90) {
			return &ring[i]
		}
	}
	return nil
}

// ringInside tells whether a ring that does not cross the outline lies in it: one
// vertex that is not on the outline decides.
func ringInside(outline, ring orb.Ring) bool {
	for _, p := range ring {
		if !planar.RingContains(outline, p) {
			return false
		}
	}
	return true
}

// segment is one side of a ring, from left to right.
type segment struct {
	a, b orb.Point
	i    int // its place in the ring
}

func segments(r orb.Ring) []segment {
	out := make([]segment, 0, len(r))
	for i := 1; i < len(r); i++ {
		s := segment{r[i-1], r[i], i}
		if s.a[0] > s.b[0] {
			s.a, s.b = s.b, s.a
		}
		out = append(out, s)
	}
	slices.SortFunc(out, func(s, t segment) int { return cmp.Compare(s.a[0], t.a[0]) })
	return out
}

// selfCrossing finds two sides of a ring that cross; sides that share an end do not.
func selfCrossing(r orb.Ring) (orb.Point, bool) {
	s := segments(r)
	for i := range s {
		for j := i + 1; j < len(s) && s[j].a[0] <= s[i].b[0]; j++ {
			if p, ok := cross(s[i], s[j]); ok {
				return p, true
			}
		}
	}
	return orb.Point{}, false
}

// crossing finds sides of two rings that cross.
func crossing(a, b orb.Ring) (orb.Point, bool) {
	s, t := segments(a), segments(b)
	for i := range s {
		for j := range t {
			if t[j].a[0] > s[i].b[0] {
				break
			}
			if t[j].b[0] >= s[i].a[0] {
				if p, ok := cross(s[i], t[j]); ok {
					return p, true
				}
			}
		}
	}
	return orb.Point{}, false
}

// cross finds where two segments cross in their insides. Touching is not crossing.
func cross(s, t segment) (orb.Point, bool) {
	d1, d2 := side(t.a, t.b, s.a), side(t.a, t.b, s.b)
	d3, d4 := side(s.a, s.b, t.a), side(s.a, s.b, t.b)
	apart := func(x, y float64) bool { return x < 0 && y > 0 || x > 0 && y < 0 }
	if !apart(d1, d2) || !apart(d3, d4) {
		return orb.Point{}, false
	}
	f := d1 / (d1 - d2)
	return orb.Point{s.a[0] + f*(s.b[0]-s.a[0]), s.a[1] + f*(s.b[1]-s.a[1])}, true
}

// side is positive where p lies to the left of a to b, 0 on the line.
func side(a, b, p orb.Point) float64 { return (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0]) }

// place holds the zone against the circle of its field's pivot.
func (r *reader) place(path string, z *Zone) bool {
	if z.Field == "" {
		return true // reported
	}
	m := r.known.Pivot(z.Field)
	if m == nil || math.IsNaN(m.Center[0]) || math.IsNaN(m.Center[1]) || math.IsNaN(m.LengthM) {
		return true
	}
	reach := m.LengthM + m.EndGunM
	if within(z.Area, m.Center, reach) {
		return true
	}
	if within(swapped(z.Area), m.Center, reach) {
		r.report(path, z.Name, "", "has longitude and latitude swapped: read the other way round it lies under pivot %q; GeoJSON positions are [longitude, latitude]", m.Name)
		return false
	}
	r.report(path, z.Name, "", "lies wholly outside the circle of pivot %q, which waters field %q", m.Name, z.Field)
	return false
}

func swapped(mp orb.MultiPolygon) orb.MultiPolygon {
	out := mp.Clone()
	for _, poly := range out {
		for _, ring := range poly {
			for i, p := range ring {
				ring[i] = orb.Point{p[1], p[0]}
			}
		}
	}
	return out
}

// within tells whether any ground of the zone lies within a distance of a point.
func within(mp orb.MultiPolygon, center orb.Point, reachM float64) bool {
	p := pivot.NewPlane(center)
	for _, poly := range mp {
		flat := make(orb.Polygon, len(poly))
		for i, ring := range poly {
			for _, q := range ring {
				if math.Abs(q[1]) > 90 {
					return false
				}
				flat[i] = append(flat[i], p.ToPlane(q))
			}
		}
		if planar.PolygonContains(flat, orb.Point{}) || planar.DistanceFrom(flat, orb.Point{}) < reachM {
			return true
		}
	}
	return false
}
