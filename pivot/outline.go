// The wetted ground as polygons for a map.

package pivot

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// minChordM is the finest chord tolerance, m: finer than any map.
const minChordM = 0.001

// rayM is the distance between corners along a radius, m: see [Machine.Outline].
const rayM = 50

// Outline is the ground wetted over an arc as a polygon in longitude and
// latitude, anticlockwise and closed as RFC 7946 wants it, end gun and all. Its
// corners lie on the true outline and its chords leave it by at most chordM
// metres (below 0.001 m counts as 0.001), so it is never larger than the ground.
// A whole circle has no corner at the pivot point. Ground outside the stops is
// left off. A radius has a corner every 50 m, so that drawn straight on the map it
// lies within 1 mm of the ground's straight line. The polygon is not cut in two at the 180th meridian.
func (m *Machine) Outline(c Arc, chordM float64) orb.Polygon {
	chordM = max(chordM, minChordM)
	p := NewPlane(m.Center)
	ring := orb.Ring{}
	add := func(q orb.Point) {
		if q = p.ToLonLat(q); len(ring) == 0 || ring[len(ring)-1] != q {
			ring = append(ring, q)
		}
	}
	at := func(az, r float64) {
		u := unit(Azimuth(az))
		add(orb.Point{u[0] * r, u[1] * r})
	}
	ray := func(az, from, to float64) { // the corners between, either way
		n := math.Ceil(math.Abs(to-from) / rayM)
		for i := 1.0; i < n; i++ {
			at(az, from+(to-from)*i/n)
		}
	}
	pieces := m.pieces(c)
	r := 0.0 // where the pen is; a whole circle starts on its rim
	if c.Full() {
		r = pieces[0].radiusM
	} else {
		at(0, 0)
	}
	for _, piece := range pieces {
		ray(piece.from, r, piece.radiusM)
		r = piece.radiusM
		if r == 0 {
			at(0, 0)
			continue
		}
		span := piece.to - piece.from
		step := 2 * math.Acos(max(0, 1-chordM/r)) / deg
		n := math.Ceil(span / step)
		for i := 0.0; i <= n; i++ {
			at(piece.from+span*i/n, r)
		}
	}
	if end := pieces[len(pieces)-1].to; c.Full() {
		ray(end, r, pieces[0].radiusM)
	} else {
		ray(end, r, 0)
	}
	if len(ring) > 1 && near(ring[0], ring[len(ring)-1]) {
		ring = ring[:len(ring)-1]
	}
	ring = append(ring, ring[0])
	ring.Reverse()
	return orb.Polygon{ring}
}

// near: the two ends of a whole turn may differ in the last bits.
func near(a, b orb.Point) bool {
	const tiny = 1e-12 // degrees, 0.1 µm
	return math.Abs(a[0]-b[0]) < tiny && math.Abs(a[1]-b[1]) < tiny
}

// pieces cuts an arc where the radius changes, in clockwise order; from and to
// run on past 360 where the arc crosses north.
func (m *Machine) pieces(c Arc) []sector {
	start, span := float64(c.From.Norm()), c.Span()
	cuts := []float64{0, span}
	for _, s := range m.sectors(1) {
		if off := c.From.Clockwise(Azimuth(s.from)); off > sameDeg && off < span-sameDeg {
			cuts = append(cuts, off)
		}
	}
	slices.Sort(cuts)
	out := make([]sector, 0, len(cuts))
	for i := 1; i < len(cuts); i++ {
		from, to := start+cuts[i-1], start+cuts[i]
		mid := Azimuth((from + to) / 2)
		out = append(out, sector{from: from, to: to, radiusM: m.RadiusM(mid), gun: m.GunOn(mid)})
	}
	return out
}
