// Areas of zones and of what two zones have in common, by trapezoids.

package pivot

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// ZoneM2 is the area of a zone, m², holes taken off, on the plane about its first
// position (see [Plane]). It is NaN where a position is not a longitude and
// latitude, 0 for no ground.
func ZoneM2(z orb.MultiPolygon) float64 {
	s, err := projectAll(planeOf(z), z)
	if err != nil {
		return math.NaN()
	}
	return max(0, trapezoidsOf(s, s.bound.Min[1]).area()) // a sliver may round below 0
}

// OverlapM2 is the area that two zones have in common, m²; ground inside a hole
// does not count. It is 0 where they only share an edge, to about 1e-6 m². A zone
// that does not cross or cover itself has OverlapM2(z, z) == ZoneM2(z); any
// other has more. It is NaN where a position is not a longitude and latitude.
func OverlapM2(a, b orb.MultiPolygon) float64 {
	p := planeOf(a)
	sa, err := projectAll(p, a)
	if err != nil {
		return math.NaN()
	}
	sb, err := projectAll(p, b)
	if err != nil {
		return math.NaN()
	}
	return overlap(sa, sb)
}

func planeOf(z orb.MultiPolygon) Plane {
	for _, poly := range z {
		for _, ring := range poly {
			if len(ring) > 0 {
				return NewPlane(ring[0])
			}
		}
	}
	return NewPlane(orb.Point{})
}

func projectAll(p Plane, z orb.MultiPolygon) (shape, error) { return project(p, z, math.Inf(1)) }

func overlap(a, b shape) float64 {
	if len(a.rings) == 0 || len(b.rings) == 0 || !a.bound.Intersects(b.bound) {
		return 0
	}
	base := min(a.bound.Min[1], b.bound.Min[1])
	return trapezoidsOf(a, base).overlap(trapezoidsOf(b, base))
}

// checkPartition refuses zones that overlap one another or themselves. Shapes
// without rings lie out of reach and are not looked at.
func checkPartition(zones []ZonePolygon, near []shape) error {
	base := math.Inf(1)
	for i := range near {
		if len(near[i].rings) > 0 {
			base = min(base, near[i].bound.Min[1])
		}
	}
	traps := make([]trapezoids, len(near))
	for i := range near {
		traps[i] = trapezoidsOf(near[i], base)
		if over := traps[i].overlap(traps[i]) - traps[i].area(); over > OverlapToleranceM2 {
			return fmt.Errorf("zone %q crosses or covers itself (by %.0f m²); an outline may not cross itself, a hole must lie inside it and parts may not overlap", zones[i].Name, over)
		}
		for j := range i {
			if len(near[i].rings) == 0 || len(near[j].rings) == 0 || !near[i].bound.Intersects(near[j].bound) {
				continue
			}
			if over := traps[i].overlap(traps[j]); over > OverlapToleranceM2 {
				return fmt.Errorf("zones %q and %q overlap by %.0f m²; zones may share an edge but not ground (up to %d m² is taken as drawn)", zones[j].Name, zones[i].Name, over, OverlapToleranceM2)
			}
		}
	}
	return nil
}

// trapezoid is the ground between one edge of a shape and a base line below the
// whole map. A shape is the sum of its trapezoids with their signs, whatever its
// holes and parts: at every point the signs add up to the winding number.
type trapezoid struct {
	x0, x1 float64 // x0 < x1
	y0, y1 float64 // heights above the base line at x0 and x1
	sign   float64 // +1 an upper edge, -1 a lower one
}

// trapezoids is sorted by x0.
type trapezoids struct {
	t      []trapezoid
	widest float64 // greatest x1 - x0
}

func trapezoidsOf(s shape, base float64) trapezoids {
	var out trapezoids
	for _, r := range s.rings {
		for i := 1; i < len(r); i++ {
			a, b := r[i-1], r[i]
			t := trapezoid{b[0], a[0], b[1] - base, a[1] - base, 1} // anticlockwise: upper edges run to the left
			if t.x0 > t.x1 {
				t = trapezoid{a[0], b[0], a[1] - base, b[1] - base, -1}
			}
			if t.x0 < t.x1 {
				out.t = append(out.t, t)
				out.widest = max(out.widest, t.x1-t.x0)
			}
		}
	}
	slices.SortFunc(out.t, func(a, b trapezoid) int { return cmp.Compare(a.x0, b.x0) })
	return out
}

func (a trapezoids) area() float64 {
	var sum float64
	for _, t := range a.t {
		sum += t.sign * (t.x1 - t.x0) * (t.y0 + t.y1) / 2
	}
	return sum
}

// overlap integrates the product of the two winding numbers: the sum over all
// pairs of trapezoids of what they have in common, which is the ground under the
// lower of two edges.
func (a trapezoids) overlap(b trapezoids) float64 {
	var sum float64
	first := 0
	for i := range a.t {
		t := &a.t[i]
		for first < len(b.t) && b.t[first].x0+b.widest <= t.x0 {
			first++ // ends before t and everything after it begins
		}
		for j := first; j < len(b.t) && b.t[j].x0 < t.x1; j++ {
			if u := &b.t[j]; u.x1 > t.x0 {
				sum += t.sign * u.sign * under(t, u)
			}
		}
	}
	return sum
}

// under is the ground under the lower of two edges over the x they share.
func under(t, u *trapezoid) float64 {
	x0, x1 := max(t.x0, u.x0), min(t.x1, u.x1)
	t0, t1 := t.at(x0), t.at(x1)
	u0, u1 := u.at(x0), u.at(x1)
	d0, d1 := t0-u0, t1-u1
	if (d0 <= 0) == (d1 <= 0) || d0 == 0 || d1 == 0 {
		return (x1 - x0) * (min(t0, u0) + min(t1, u1)) / 2
	}
	w := (x1 - x0) * d0 / (d0 - d1) // they cross this far along
	y := t0 + (t1-t0)*d0/(d0-d1)
	return w*(min(t0, u0)+y)/2 + (x1-x0-w)*(y+min(t1, u1))/2
}

func (t *trapezoid) at(x float64) float64 {
	return t.y0 + (t.y1-t.y0)*(x-t.x0)/(t.x1-t.x0)
}
