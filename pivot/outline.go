// The wetted ground as polygons for a map.

package pivot

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// minChordM is the finest chord tolerance, m: finer than any map.
const minChordM = 0.001

// Outline is the ground wetted over an arc as a polygon in longitude and
// latitude, anticlockwise and closed as RFC 7946 wants it, end gun and all. Its
// corners lie on the true outline and its chords leave it by at most chordM
// metres (below 0.001 m counts as 0.001), so it is never larger than the ground.
// A whole circle has no corner at the pivot point. Ground outside the stops is
// left off. It is not cut in two at the 180th meridian.
func (m *Machine) Outline(c Arc, chordM float64) orb.Polygon {
	chordM = max(chordM, minChordM)
	p := NewPlane(m.Center)
	ring := orb.Ring{}
	add := func(q orb.Point) {
		if q = p.ToLonLat(q); len(ring) == 0 || ring[len(ring)-1] != q {
			ring = append(ring, q)
		}
	}
	if !c.Full() {
		add(orb.Point{})
	}
	for _, piece := range m.pieces(c) {
		if piece.radiusM == 0 {
			add(orb.Point{})
			continue
		}
		span := piece.to - piece.from
		step := 2 * math.Acos(max(0, 1-chordM/piece.radiusM)) / deg
		n := int(math.Ceil(span / step))
		for i := range n + 1 {
			u := unit(Azimuth(piece.from + span*float64(i)/float64(n)))
			add(orb.Point{u[0] * piece.radiusM, u[1] * piece.radiusM})
		}
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
