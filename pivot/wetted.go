// The wetted ground: sectors of constant radius, slices, areas.

package pivot

import (
	"fmt"
	"math"
	"slices"
)

const (
	// sameDeg is the angle below which two azimuths are one: 0.02 µm at 1 km.
	sameDeg = 1e-9
	// maxSlices keeps a slip such as a width of 0.0005 from filling the memory.
	maxSlices = 7200
)

// SliceCount is the number of slices of a width in degrees. The width must divide
// 360 and be at least 0.05 degrees.
func SliceCount(sliceDeg float64) (int, error) {
	n := math.Round(360 / sliceDeg)
	if !(sliceDeg > 0) || !(n >= 1 && n <= maxSlices) || math.Abs(n*sliceDeg-360) > sameDeg*n {
		return 0, fmt.Errorf("slice width %g degrees: must divide 360 and be from 0.05 to 360, such as 1, 2, 2.5, 5 or 10", sliceDeg)
	}
	return int(n), nil
}

// sliceEdge is where slice i of n begins: slices run over [360i/n, 360(i+1)/n).
func sliceEdge(i, n int) Azimuth { return Azimuth(float64(i) * 360 / float64(n)) }

// InStops reports whether the arm may stand at an azimuth.
func (m *Machine) InStops(a Azimuth) bool { return m.Stops == nil || m.Stops.Contains(a) }

// GunOn reports whether the end gun runs when the arm stands at an azimuth.
func (m *Machine) GunOn(a Azimuth) bool {
	if m.EndGunM <= 0 {
		return false
	}
	for _, c := range m.EndGunArcs {
		if c.Contains(a) {
			return true
		}
	}
	return false
}

// RadiusM is the wetted radius when the arm stands at an azimuth: 0 outside the
// stops, LengthM, and EndGunM more where the gun runs.
func (m *Machine) RadiusM(a Azimuth) float64 {
	switch {
	case !m.InStops(a):
		return 0
	case m.GunOn(a):
		return m.LengthM + m.EndGunM
	}
	return m.LengthM
}

// sector is a range of azimuths [from, to) over which the wetted radius is the
// same; it lies within one slice.
type sector struct {
	from, to float64 // degrees, 0 <= from < to <= 360
	radiusM  float64
	gun      bool
	slice    int
}

func (s sector) areaM2() float64 { return s.radiusM * s.radiusM / 2 * (s.to - s.from) * deg }

// sectors cuts the circle at the edges of n slices, at the stops and at the ends
// of the end gun arcs, clockwise from north.
func (m *Machine) sectors(n int) []sector {
	cuts := make([]float64, 0, 2+2*len(m.EndGunArcs))
	cut := func(c Arc) {
		if !c.Full() {
			cuts = append(cuts, float64(c.From.Norm()), float64(c.To.Norm()))
		}
	}
	if m.Stops != nil {
		cut(*m.Stops)
	}
	if m.EndGunM > 0 {
		for _, c := range m.EndGunArcs {
			cut(c)
		}
	}
	slices.Sort(cuts)
	out := make([]sector, 0, n+len(cuts))
	add := func(i int, from, to float64) {
		mid := Azimuth((from + to) / 2)
		out = append(out, sector{from, to, m.RadiusM(mid), m.InStops(mid) && m.GunOn(mid), i})
	}
	for i := range n {
		from, to := float64(sliceEdge(i, n)), float64(sliceEdge(i+1, n))
		for len(cuts) > 0 && cuts[0] < to-sameDeg {
			if c := cuts[0]; c > from+sameDeg {
				add(i, from, c)
				from = c
			}
			cuts = cuts[1:]
		}
		add(i, from, to)
	}
	return out
}

// Slice is what the machine covers within one slice.
type Slice struct {
	AreaM2    float64 // wetted ground
	TravelDeg float64 // degrees of it that the arm walks, the rest lies outside the stops
	GunDeg    float64 // degrees of it with the end gun running
}

// Slices is the wetted ground by slice; stops and end gun cut slices exactly.
// The error is that of [SliceCount].
func (m *Machine) Slices(sliceDeg float64) ([]Slice, error) {
	n, err := SliceCount(sliceDeg)
	if err != nil {
		return nil, err
	}
	out := make([]Slice, n)
	for _, s := range m.sectors(n) {
		o := &out[s.slice]
		o.AreaM2 += s.areaM2()
		if s.radiusM > 0 {
			o.TravelDeg += s.to - s.from
		}
		if s.gun {
			o.GunDeg += s.to - s.from
		}
	}
	return out, nil
}

// SliceM2 is the wetted area of each slice, m²; 0 outside the stops.
func (m *Machine) SliceM2(sliceDeg float64) ([]float64, error) {
	s, err := m.Slices(sliceDeg)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(s))
	for i := range s {
		out[i] = s[i].AreaM2
	}
	return out, nil
}

// AreaM2 is all the ground the machine wets: π LengthM² for a full circle without
// end gun.
func (m *Machine) AreaM2() float64 {
	var sum float64
	for _, s := range m.sectors(1) {
		sum += s.areaM2()
	}
	return sum
}
