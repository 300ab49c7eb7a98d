// The overlay of zones on the wetted circle: which ground of which zone lies in
// which slice, exactly.

package pivot

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// ZonePolygon is one zone on the map as pivot needs it.
type ZonePolygon struct {
	Name string
	Area orb.MultiPolygon // lon, lat; rings in either direction, first ring of a polygon the outer one
}

// Cell is zone × slice of one machine. Area is what lies under the wetted circle.
type Cell struct {
	Slice  int // index, slice i covers azimuths [i*w, (i+1)*w) with w the slice width
	Zone   int // index into the zones given to Overlay; -1 ground under the circle in no zone
	AreaM2 float64
}

// NoZone is the Zone of a Cell that lies in none.
const NoZone = -1

const (
	// OverlapToleranceM2 is how far two zones may overlap, or one zone itself, before
	// Overlay refuses them: a boundary of 1 km drawn twice to a centimetre. Our assumption.
	OverlapToleranceM2 = 10
	// dustM2 is the smallest cell: coordinates of seven decimals place a point to 1 cm,
	// so less than 1 cm × 1 m is not ground but rounding. What is swept up goes to a
	// neighbour in the same slice, so that nothing is lost.
	dustM2 = 0.01
)

// Overlay cuts the ground under the machine's wetted circle into cells, ordered by
// slice and then by zone, ground in no zone last. In every slice the cells add up
// to the wetted area of the slice. Zones may have holes and several parts, cross
// north and hold the pivot point; zones out of reach give no cell.
//
// The area is exact on the plane about the pivot point (see [Plane] for what that
// is worth): by Green's theorem each edge of a zone adds the signed area of the
// triangle it forms with the pivot point, cut by the slices' radii and by the circle.
//
// Errors: a slice width that does not divide 360; a coordinate that is no
// longitude and latitude; zones that overlap, or cross themselves, by more than
// OverlapToleranceM2. The machine is taken to be valid.
func Overlay(m *Machine, zones []ZonePolygon, sliceDeg float64) ([]Cell, error) {
	n, err := SliceCount(sliceDeg)
	if err != nil {
		return nil, err
	}
	sectors := m.sectors(n)
	fan := newFan(sectors)
	near := make([]shape, len(zones))
	areas := make([]float64, len(zones)*n) // by zone, then slice
	for z := range zones {
		if near[z], err = project(NewPlane(m.Center), zones[z].Area, fan.reachM); err != nil {
			return nil, fmt.Errorf("zone %q: %w", zones[z].Name, err)
		}
		for _, ring := range near[z].rings {
			fan.addRing(ring, areas[z*n:(z+1)*n])
		}
	}
	if err := checkPartition(zones, near); err != nil {
		return nil, err
	}

	wetted := make([]float64, n)
	for _, s := range sectors {
		wetted[s.slice] += s.areaM2()
	}
	cells := make([]Cell, 0, n*2)
	for i, area := range wetted {
		if area > 0 {
			cells = appendSlice(cells, i, area, areas, n)
		}
	}
	return cells, nil
}

// appendSlice appends the cells of slice i, whose wetted area is given.
func appendSlice(cells []Cell, i int, wetted float64, areas []float64, n int) []Cell {
	first := len(cells)
	var sum float64
	for z := 0; z*n < len(areas); z++ {
		if a := areas[z*n+i]; a > min(dustM2, wetted/2) {
			cells = append(cells, Cell{i, z, a})
			sum += a
		}
	}
	switch bare := wetted - sum; {
	case bare > dustM2 || len(cells) == first:
		cells = append(cells, Cell{i, NoZone, bare})
	default: // zones fill the slice, or overfill it within the tolerance
		for j := first; j < len(cells); j++ {
			cells[j].AreaM2 *= wetted / sum
		}
	}
	return cells
}

// shape is a zone on the plane: closed rings, outer ones anticlockwise, holes clockwise.
type shape struct {
	rings []orb.Ring
	bound orb.Bound
}

// project brings a zone into the plane. A zone wholly beyond reachM of the centre
// comes back without rings.
func project(p Plane, mp orb.MultiPolygon, reachM float64) (shape, error) {
	var s shape
	for _, poly := range mp {
		for i, ring := range poly {
			for _, q := range ring {
				if !(math.Abs(q.Lon()) <= 180 && math.Abs(q.Lat()) <= 90) {
					return s, fmt.Errorf("position %v: must be longitude from -180 to 180, then latitude from -90 to 90", q)
				}
			}
			if len(ring) < 3 {
				continue // no ground
			}
			out := append(make(orb.Ring, 0, len(ring)+1), p.ToPlane(ring[0]))
			for k := 1; k < len(ring); k++ {
				out = p.appendEdge(out, ring[k-1], ring[k])
			}
			if last := ring[len(ring)-1]; last != ring[0] {
				out = p.appendEdge(out, last, ring[0])
			}
			out[len(out)-1] = out[0] // closed to the last bit
			if (planar.Area(out) < 0) == (i == 0) {
				out.Reverse()
			}
			b := out.Bound()
			if len(s.rings) > 0 {
				b = b.Union(s.bound)
			}
			s.bound = b
			s.rings = append(s.rings, out)
		}
	}
	if !s.bound.Intersects(orb.Bound{Min: orb.Point{-reachM, -reachM}, Max: orb.Point{reachM, reachM}}) {
		return shape{}, nil
	}
	return s, nil
}

// fan is the machine's sectors laid out for the walk along a zone's edges.
type fan struct {
	sectors []sector
	ray     []orb.Point // unit vector at the start of each sector
	reachM  float64     // greatest radius
}

func newFan(sectors []sector) *fan {
	f := &fan{sectors: sectors, ray: make([]orb.Point, len(sectors))}
	for i, s := range sectors {
		f.ray[i] = unit(Azimuth(s.from))
		f.reachM = max(f.reachM, s.radiusM)
	}
	return f
}

// addRing adds to the areas by slice what a closed ring encloses of each;
// anticlockwise rings count positive.
func (f *fan) addRing(r orb.Ring, bySlice []float64) {
	for i := 1; i < len(r); i++ {
		f.addEdge(r[i-1], r[i], bySlice)
	}
}

// addEdge walks from a to b across the sectors and adds the signed area of the
// triangle (pivot point, a, b) to them, cut by their circles.
func (f *fan) addEdge(a, b orb.Point, bySlice []float64) {
	cross := cross(a, b)
	if cross == 0 {
		return // in line with the pivot point: no triangle
	}
	left := math.Atan2(math.Abs(cross), dot(a, b)) / deg // degrees still to walk
	at := float64(azimuthOf(a))
	j, found := slices.BinarySearchFunc(f.sectors, at, func(s sector, at float64) int {
		switch {
		case s.from < at:
			return -1
		case s.from > at:
			return 1
		}
		return 0
	})
	if !found {
		j--
	}
	for p := a; ; {
		s := &f.sectors[j]
		clockwise := cross < 0
		next, ray, step := j+1, j+1, s.to-at
		if !clockwise {
			next, ray, step = j-1, j, at-s.from
		}
		if ray == len(f.ray) {
			ray = 0
		}
		if step >= left {
			bySlice[s.slice] += triangleInCircle(p, b, s.radiusM)
			return
		}
		q := onRay(a, b, f.ray[ray])
		bySlice[s.slice] += triangleInCircle(p, q, s.radiusM)
		p, left = q, left-step
		switch {
		case clockwise && next == len(f.sectors):
			j, at = 0, 0
		case clockwise:
			j, at = next, f.sectors[next].from
		case next < 0:
			j, at = len(f.sectors)-1, 360
		default:
			j, at = next, f.sectors[next].to
		}
	}
}

// onRay is where the line from a to b meets the ray u from the origin.
func onRay(a, b, u orb.Point) orb.Point {
	ca, cb := cross(u, a), cross(u, b)
	if ca == cb {
		return a
	}
	t := min(1, max(0, ca/(ca-cb)))
	return orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
}

// triangleInCircle is the area of the triangle (origin, p, q) inside the circle of
// radius r about the origin, positive where p to q runs anticlockwise.
func triangleInCircle(p, q orb.Point, r float64) float64 {
	c := cross(p, q)
	if c == 0 || r == 0 {
		return 0
	}
	r2 := r * r
	if dot(p, p) <= r2 && dot(q, q) <= r2 {
		return c / 2
	}
	// Where |p + t(q-p)| = r: a t² + 2 b t + e = 0.
	d := orb.Point{q[0] - p[0], q[1] - p[1]}
	a, b, e := dot(d, d), dot(p, d), dot(p, p)-r2
	disc := b*b - a*e
	if disc <= 0 {
		return r2 / 2 * turn(p, q)
	}
	root := math.Sqrt(disc)
	in, out := (-b-root)/a, (-b+root)/a
	if out <= 0 || in >= 1 {
		return r2 / 2 * turn(p, q)
	}
	in, out = max(in, 0), min(out, 1)
	sum := c / 2 * (out - in)
	if in > 0 {
		sum += r2 / 2 * turn(p, orb.Point{p[0] + in*d[0], p[1] + in*d[1]})
	}
	if out < 1 {
		sum += r2 / 2 * turn(orb.Point{p[0] + out*d[0], p[1] + out*d[1]}, q)
	}
	return sum
}

// turn is the angle from p to q about the origin, radians, anticlockwise positive.
func turn(p, q orb.Point) float64 { return math.Atan2(cross(p, q), dot(p, q)) }

func cross(a, b orb.Point) float64 { return a[0]*b[1] - a[1]*b[0] }
func dot(a, b orb.Point) float64   { return a[0]*b[0] + a[1]*b[1] }
